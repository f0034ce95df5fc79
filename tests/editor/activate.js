// The extension in an editor that is not there: it opens the text named, and prints what is wrong with it, what hovering says, what
// stands in the outline, what one is asked for to insert a terminal, and the reason why that is refused.
const fs = require("node:fs");
const Module = require("node:module");

const [, , extension, command, file, line, character] = process.argv;
const uri = { scheme: "file", toString: () => `file://${file}` };
const providers = {};
const commands = {};
const answers = ["-X1", "7"];
const plain = (name) => class { constructor(...given) { this[name] = given; } };
const registered = new Proxy({}, { get: (_, name) => name === "createDiagnosticCollection" ? () => ({ set: shown }) : (_selector, provider) => Object.assign(providers, provider) });
const vscode = {
  languages: registered,
  workspace: new Proxy({}, { get: (_, name) => name === "getConfiguration" ? () => ({ get: (key) => (key === "command" ? command : true) })
    : name === "textDocuments" ? [{ languageId: "netdsl", uri, version: 1, getText: () => fs.readFileSync(file, "utf8") }] : () => ({}) }),
  commands: { registerCommand: (name, run) => (commands[name] = run) },
  window: {
    activeTextEditor: { document: { uri } },
    showErrorMessage: (text) => console.log(text),
    showInputBox: async ({ prompt }) => console.log(prompt) ?? answers.shift(),
  },
  DocumentSymbol: class { constructor(name) { this.name = name; } },
  Uri: { parse: (text) => text }, Range: plain("range"), Position: plain("position"), Location: plain("location"), Hover: plain("hover"),
  MarkdownString: plain("text"), Diagnostic: class { constructor(range, message) { this.message = message; } }, DiagnosticRelatedInformation: plain("related"),
};
const load = Module._load;
Module._load = (name, ...rest) => (name === "vscode" ? vscode : load(name, ...rest));
const ours = require(extension);

let done = false;
async function shown(_, diagnostics) {
  if (done || !diagnostics.length) return;
  done = true;
  console.log(diagnostics.map((each) => each.code).join(" "));
  const found = await providers.provideHover({ uri }, { line: Number(line), character: Number(character) });
  console.log(found.hover[0].text[0]);
  console.log((await providers.provideDocumentSymbols({ uri })).map((each) => each.name).join(" "));
  await commands["netdsl.insertTerminal"]();
  await ours.deactivate();
}
ours.activate({ subscriptions: [] });
