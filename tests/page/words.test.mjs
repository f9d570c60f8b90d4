// What a verb says is said on the page in the page's words: no option, no command.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { test } from 'node:test';
import { join, top } from './studio.mjs';
import { kBuy, kOfAPiece, kWeaveNext, labelsOf } from '../../tools/page/src/questions.js';
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

test('the fields of the page are called as they are labelled', () => {
  assert.equal(onThePage('ellwand: --margin and --markup say the same in two ways; give one of them', labels.price), '"Margin of the price" and "Markup on the cost" say the same in two ways; give one of them');
  assert.equal(onThePage('Left out: 1 yarn that cannot serve; --with a yarn tells why.', labels.swap), 'Left out: 1 yarn that cannot serve; a yarn named under "Only these in its place" is told why.');
  assert.equal(onThePage("Minutes of soumak are starting values; record yours with 'ellwand record STUDIO minutes', or state them in [price.minutes] of studio.toml.", labels.price), 'Minutes of soumak are starting values; record yours with "Minutes spent" under Swatches, or state them in [price.minutes] of studio.toml (under Files).');
});
