// What a verb says is said on the page in the page's words: no option, no command.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { test } from 'node:test';
import { join, top } from './studio.mjs';
import { kBuy, kOfAPiece, kWeaveNext, labelsOf } from '../../tools/page/src/questions.js';
import { tablesOf } from '../../tools/page/src/answers.js';
import { onThePage } from '../../tools/page/src/words.js';

// What reads and helps with a typed command, finds data or begins a folder says nothing on the page.
const kTyped = /^(main|command_line|completion|read_options|verb_completion|verb_page|verb_start|data_folder)\.cpp$/;
const kLiterals = /"(?:[^"\\\n]|\\.)*"(?:\s*"(?:[^"\\\n]|\\.)*")*/g;

/** The sentences of a source that name an option or a command; examples and usage lines are for the help alone. */
function sentences_of(folder, name) {
  const source = readFileSync(join(folder, name), 'utf8').replace(/^\s*\/\/.*$/gm, '').replace(/^#include.*$/gm, '');
  const texts = [...source.matchAll(kLiterals)].map(([all]) => [...all.matchAll(/"((?:[^"\\\n]|\\.)*)"/g)].map(([, part]) => part).join('').replaceAll('\\"', '"').replaceAll('\\n', '\n'));
  return texts.filter((text) => /--[a-z{]|\bellwand [a-z]/.test(text) && !/^(ellwand |PIECE |STUDIO )/.test(text));
}

const labels = Object.fromEntries([...kOfAPiece, kBuy, kWeaveNext].map((question) => [question.verb, labelsOf(question)]));
const folders = ['tools', 'lib/ellwand/studio'].map((folder) => join(top, folder));
const all = folders.flatMap((folder) => readdirSync(folder).filter((name) => name.endsWith('.cpp') && !kTyped.test(name)).flatMap((name) => sentences_of(folder, name).map((text) => [name, text])));

test('there are sentences to try', () => assert.ok(all.length > 50, `${all.length} sentences`));

test('no sentence of a verb names an option or a command on the page', () => {
  const left = all.map(([name, text]) => {
    const verb = name.replace(/^(verb|print)_/, '').replace('.cpp', '').replaceAll('_', '-');
    return [name, onThePage(text.replaceAll('{0}', 'ash').replace(/\{[^}]*\}/g, 'ash'), labels[verb])];
  }).filter(([, told]) => /--[a-z]|\bellwand [a-z]/.test(told));
  assert.deepEqual(left, []);
});

test('yarn that is lent is told once: in the table of what to buy, in the packing list of a kit', () => {
  const bought = 'All of it.\nNot on the list: 4 m of ash for band 8 of sedge, which comes out again; the shelf has none of it.\nNot on the list: 5 m of oak for band 1 of wrack, which comes out again.\nThe end.';
  assert.equal(onThePage(bought, labels.buy), 'All of it.\nThe end.');
  const packed = '  [ ] ash: 5 m lent for band 8, which comes out again; not in the cost';
  assert.equal(onThePage(packed, labels.kit), packed.trim());
  const lent = { yarn: 'ash', band: 8, length_m: { high: 3.9 } };
  const units = { perGram: 1, perMetre: 1, perCm: 1, mass: 'g', yarn: 'm', length: 'cm' };
  const captions = (verb, json) => tablesOf(verb, json, units).map((table) => table.caption);
  assert.deepEqual(captions('buy', { yarns: [], lent: [{ ...lent, piece: 'sedge', on_shelf_g: 0 }] }), ['Lent, and had back: neither bought nor in the cost']);
  assert.deepEqual(captions('kit', { yarns: [], lent: [lent], pupils: null, cost_each: null }), ['Yarn in a kit']);
});

test('the fields of the page are called as they are labelled', () => {
  assert.equal(onThePage('ellwand: --margin and --markup say the same in two ways; give one of them', labels.price), '"Margin of the price" and "Markup on the cost" say the same in two ways; give one of them');
  assert.equal(onThePage('Left out: 1 yarn that cannot serve; --with a yarn tells why.', labels.swap), 'Left out: 1 yarn that cannot serve; a yarn named under "Only these in its place" is told why.');
  assert.equal(onThePage("Minutes of soumak are starting values; record yours with 'ellwand record STUDIO minutes', or state them in [price.minutes] of studio.toml.", labels.price), 'Minutes of soumak are starting values; record yours with "Minutes spent" under Swatches, or state them in [price.minutes] of studio.toml (under Files).');
});
