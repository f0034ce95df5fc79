// The scopes that the TextMate grammar gives to texts: `node scopes.js MODULES GRAMMAR`, with the paths of the texts on standard input.
// Prints a list for each text: of each token its line, first and last column in UTF-16 units, and its scope, the outer one where one
// stands in another; a line after which the state is not that of the beginning of a text is told as [line, 0, 0, "open"].
const fs = require("node:fs");
const path = require("node:path");

const [, , modules, grammar] = process.argv;
const { Registry, INITIAL, parseRawGrammar } = require(path.join(modules, "vscode-textmate"));
const oniguruma = require(path.join(modules, "vscode-oniguruma"));

async function main() {
  await oniguruma.loadWASM(fs.readFileSync(path.join(modules, "vscode-oniguruma", "release", "onig.wasm")).buffer);
  const onigLib = Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  });
  const loadGrammar = async () => parseRawGrammar(fs.readFileSync(grammar, "utf8"), grammar);
  const ours = await new Registry({ onigLib, loadGrammar }).loadGrammar("source.netdsl");
  const texts = fs.readFileSync(0, "utf8").split("\n").filter(Boolean);
  console.log(JSON.stringify(texts.map((file) => scopes(ours, fs.readFileSync(file, "utf8")))));
}

function scopes(ours, text) {
  const found = [];
  let state = INITIAL;
  text.split(/\r\n|\r|\n/).forEach((line, number) => {
    const done = ours.tokenizeLine(line, state);
    for (const { startIndex, endIndex, scopes } of done.tokens) {
      if (scopes.length === 1) continue;
      const last = found.at(-1);
      if (last && last[0] === number && last[2] === startIndex && last[3] === scopes[1]) last[2] = endIndex;
      else found.push([number, startIndex, endIndex, scopes[1]]);
    }
    state = done.ruleStack;
    if (state.depth > 1) found.push([number, 0, 0, "open"]);
  });
  return found;
}

main();
