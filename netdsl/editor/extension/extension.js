// Starts `netdsl serve` and passes on what it says. Without a library, so that the folder can be packed as it is.
const { spawn } = require("node:child_process");
const vscode = require("vscode");

const SELECTOR = { language: "netdsl" };
let server;

class Connection {
  constructor(command) {
    this.waiting = new Map();
    this.handlers = new Map();
    this.last = 0;
    this.rest = Buffer.alloc(0);
    this.process = spawn(command, ["serve"]);
    this.process.stdout.on("data", (data) => this.read(data));
    this.process.stderr.resume();
    this.process.stdin.on("error", () => {});
    this.process.on("error", () => vscode.window.showErrorMessage(`netdsl: ${command} cannot be started`));
  }

  write(message) {
    const body = Buffer.from(JSON.stringify({ jsonrpc: "2.0", ...message }));
    this.process.stdin.write(`Content-Length: ${body.length}\r\n\r\n`);
    this.process.stdin.write(body);
  }

  ask(method, params) {
    const id = ++this.last;
    this.write({ id, method, params });
    return new Promise((resolve, reject) => this.waiting.set(id, { resolve, reject }));
  }

  tell(method, params) {
    this.write({ method, params });
  }

  read(data) {
    this.rest = Buffer.concat([this.rest, data]);
    for (;;) {
      const end = this.rest.indexOf("\r\n\r\n");
      const length = end < 0 ? null : /Content-Length: (\d+)/i.exec(this.rest.toString("ascii", 0, end));
      if (!length || this.rest.length < end + 4 + Number(length[1])) return;
      const body = this.rest.subarray(end + 4, end + 4 + Number(length[1]));
      this.rest = this.rest.subarray(end + 4 + Number(length[1]));
      this.take(JSON.parse(body.toString("utf8")));
    }
  }

  async take(message) {
    if (message.method) {
      const result = await this.handlers.get(message.method)?.(message.params);
      if (message.id !== undefined) this.write({ id: message.id, result: result ?? null });
      return;
    }
    const { resolve, reject } = this.waiting.get(message.id) ?? {};
    this.waiting.delete(message.id);
    if (message.error) reject?.(new Error(message.error.message));
    else resolve?.(message.result);
  }
}

const range = (r) => new vscode.Range(r.start.line, r.start.character, r.end.line, r.end.character);
const spot = (p) => ({ line: p.line, character: p.character });
const plain = (r) => ({ start: spot(r.start), end: spot(r.end) });
const place = (l) => new vscode.Location(vscode.Uri.parse(l.uri), range(l.range));
const edits = (found) => (found ?? []).map((e) => new vscode.TextEdit(range(e.range), e.newText));

function workspaceEdit(found) {
  const result = new vscode.WorkspaceEdit();
  for (const [uri, changes] of Object.entries(found?.changes ?? {})) result.set(vscode.Uri.parse(uri), edits(changes));
  return result;
}

function diagnostic(found) {
  const result = new vscode.Diagnostic(range(found.range), found.message, found.severity - 1);
  result.source = found.source;
  result.code = found.code;
  result.relatedInformation = (found.relatedInformation ?? []).map(
    (each) => new vscode.DiagnosticRelatedInformation(place(each.location), each.message),
  );
  return result;
}

function completion(found) {
  const item = new vscode.CompletionItem(found.label, found.kind - 1);
  item.detail = found.detail;
  item.filterText = found.filterText;
  item.sortText = found.sortText;
  item.range = range(found.textEdit.range);
  item.insertText = found.insertTextFormat === 2 ? new vscode.SnippetString(found.textEdit.newText) : found.textEdit.newText;
  return item;
}

function providers() {
  const about = (document, position) => ({ textDocument: { uri: document.uri.toString() }, position: position && spot(position) });
  const ask = (method, document, position, more) => server.ask(`textDocument/${method}`, { ...about(document, position), ...more });
  const languages = vscode.languages;
  return [
    languages.registerCompletionItemProvider(
      SELECTOR,
      { provideCompletionItems: async (d, p) => (await ask("completion", d, p)).items.map(completion) },
      ..." :,=-+$",
    ),
    languages.registerHoverProvider(SELECTOR, {
      provideHover: async (d, p) => {
        const found = await ask("hover", d, p);
        return found && new vscode.Hover(new vscode.MarkdownString(found.contents.value), range(found.range));
      },
    }),
    languages.registerDefinitionProvider(SELECTOR, {
      provideDefinition: async (d, p) => {
        const found = await ask("definition", d, p);
        return found && place(found);
      },
    }),
    languages.registerReferenceProvider(SELECTOR, {
      provideReferences: async (d, p, context) => (await ask("references", d, p, { context })).map(place),
    }),
    languages.registerRenameProvider(SELECTOR, {
      prepareRename: async (d, p) => {
        const found = await ask("prepareRename", d, p);
        if (!found) throw new Error("nothing is named here");
        return range(found);
      },
      provideRenameEdits: async (d, p, newName) => workspaceEdit(await ask("rename", d, p, { newName })),
    }),
    languages.registerDocumentFormattingEditProvider(SELECTOR, {
      provideDocumentFormattingEdits: async (d, options) => edits(await ask("formatting", d, undefined, { options })),
    }),
    languages.registerDocumentRangeFormattingEditProvider(SELECTOR, {
      provideDocumentRangeFormattingEdits: async (d, r, options) =>
        edits(await ask("rangeFormatting", d, undefined, { range: plain(r), options })),
    }),
    languages.registerDocumentSymbolProvider(SELECTOR, {
      provideDocumentSymbols: async (d) => (await ask("documentSymbol", d)).map(symbol),
    }),
    languages.registerDocumentHighlightProvider(SELECTOR, {
      provideDocumentHighlights: async (d, p) =>
        (await ask("documentHighlight", d, p)).map((each) => new vscode.DocumentHighlight(range(each.range))),
    }),
    languages.registerInlayHintsProvider(SELECTOR, {
      provideInlayHints: async (d, r) =>
        (await ask("inlayHint", d, undefined, { range: plain(r) })).map(
          (each) => new vscode.InlayHint(new vscode.Position(each.position.line, each.position.character), ` ${each.label}`),
        ),
    }),
    languages.registerCodeActionsProvider(SELECTOR, {
      provideCodeActions: async (d, r) =>
        (await ask("codeAction", d, undefined, { range: plain(r), context: { diagnostics: [] } })).map((each) => {
          const action = new vscode.CodeAction(each.title, vscode.CodeActionKind.QuickFix);
          action.edit = workspaceEdit(each.edit);
          return action;
        }),
    }),
  ];
}

const symbol = (s) => {
  const result = new vscode.DocumentSymbol(s.name, s.detail ?? "", s.kind - 1, range(s.range), range(s.selectionRange));
  result.children = (s.children ?? []).map(symbol);
  return result;
};

// What each command asks for, in the order in which the server takes it.
const COMMANDS = {
  "netdsl.insertTerminal": ["Strip, as -X1", "Number of the new terminal"],
  "netdsl.moveTerminals": ["Strip, as -X1", "Terminal or range, as 4..9", "First number to be"],
};

async function carryOut(command) {
  const uri = vscode.window.activeTextEditor?.document.uri.toString();
  const given = [];
  for (const prompt of COMMANDS[command]) {
    const said = uri && (await vscode.window.showInputBox({ prompt }));
    if (!said) return;
    given.push(said);
  }
  try {
    await server.ask("workspace/executeCommand", { command, arguments: [uri, ...given] });
  } catch (refused) {
    vscode.window.showErrorMessage(`netdsl: ${refused.message}`);
  }
}

async function activate(context) {
  const settings = vscode.workspace.getConfiguration("netdsl");
  server = new Connection(settings.get("command"));
  const shown = vscode.languages.createDiagnosticCollection("netdsl");
  server.handlers.set("textDocument/publishDiagnostics", (found) =>
    shown.set(vscode.Uri.parse(found.uri), found.diagnostics.map(diagnostic)),
  );
  server.handlers.set("workspace/applyEdit", async (asked) => ({
    applied: await vscode.workspace.applyEdit(workspaceEdit(asked.edit)),
  }));
  const capabilities = { textDocument: { completion: { completionItem: { snippetSupport: true } } } };
  const initializationOptions = { inlayHints: settings.get("inlayHints") };
  await server.ask("initialize", { processId: process.pid, rootUri: null, capabilities, initializationOptions });
  server.tell("initialized", {});
  const ours = (document) => document.languageId === "netdsl" && document.uri.scheme === "file";
  const open = (document) => {
    if (!ours(document)) return;
    const textDocument = { uri: document.uri.toString(), languageId: "netdsl", version: document.version, text: document.getText() };
    server.tell("textDocument/didOpen", { textDocument });
  };
  vscode.workspace.textDocuments.forEach(open);
  context.subscriptions.push(
    shown,
    vscode.workspace.onDidOpenTextDocument(open),
    vscode.workspace.onDidCloseTextDocument((document) => {
      if (ours(document)) server.tell("textDocument/didClose", { textDocument: { uri: document.uri.toString() } });
    }),
    vscode.workspace.onDidChangeTextDocument(({ document, contentChanges }) => {
      if (!ours(document)) return;
      const textDocument = { uri: document.uri.toString(), version: document.version };
      const changes = contentChanges.map((each) => ({ range: plain(each.range), text: each.text }));
      server.tell("textDocument/didChange", { textDocument, contentChanges: changes });
    }),
    vscode.workspace.onDidSaveTextDocument((document) => {
      if (ours(document)) server.tell("textDocument/didSave", { textDocument: { uri: document.uri.toString() } });
    }),
    ...Object.keys(COMMANDS).map((command) => vscode.commands.registerCommand(command, () => carryOut(command))),
    ...providers(),
  );
}

async function deactivate() {
  await server?.ask("shutdown", null);
  server?.tell("exit", null);
}

module.exports = { activate, deactivate };
