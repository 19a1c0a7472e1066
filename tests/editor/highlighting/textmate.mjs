// The TextMate grammar by the engine that editors have: node textmate.mjs
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
const root = here + '../../../';
const require = createRequire(root + 'tests/browser/package.json');
const textmate = require('vscode-textmate');
const oniguruma = require('vscode-oniguruma');

const wasm = readFileSync(require.resolve('vscode-oniguruma/release/onig.wasm'));
await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));
const file = root + 'grammar/editors/kneemark.tmLanguage.json';
const registry = new textmate.Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: async () => textmate.parseRawGrammar(readFileSync(file, 'utf8'), file),
});
const grammar = await registry.loadGrammar('source.kneemark');
const classes = {
  'comment.line': 'comment', 'entity.name.tag': 'key', 'constant.numeric': 'number', 'keyword.other.unit': 'unit',
  'keyword.control.section': 'section', 'constant.language': 'word', 'constant.other.date': 'date',
  'variable.other.terminals': 'terminals', 'support.type.column': 'column', 'keyword.other.aside': 'aside',
  'invalid.illegal': 'odd',
};
const coloured = [];
let state = textmate.INITIAL;
for (const line of readFileSync(here + 'sample.ctr', 'utf8').split('\n')) {
  const { tokens, ruleStack } = grammar.tokenizeLine(line, state);
  coloured.push({ line, tokens });
  state = ruleStack;
}
let wrong = 0, seen = 0;
for (const row of readFileSync(here + 'expected.txt', 'utf8').split('\n')) {
  if (row === '' || row.startsWith('#')) continue;
  const [number, text, meant] = row.split('\t');
  const { line, tokens } = coloured[number - 1];
  const from = line.indexOf(text), to = from + text.length;
  if (from < 0) throw new Error(`${row}: not in the line`);
  for (const token of tokens.filter((one) => one.startIndex < to && one.endIndex > from)) {
    const scope = token.scopes.at(-1);
    const found = Object.entries(classes).find(([name]) => scope.startsWith(name))?.[1] ?? 'none';
    if (found !== meant) { console.error(`textmate: line ${number}, ${text}: ${found} (${scope}), meant ${meant}`); wrong += 1; }
  }
  seen += 1;
}
if (wrong > 0 || seen < 30) process.exit(1);
console.log(`textmate: ${seen} places`);
