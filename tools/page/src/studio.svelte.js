// The studio that is open: its files as texts, what of them is not saved, and the verbs on them.
import * as engine from './engine.js';
import * as places from './places.js';
import { onThePage } from './words.js';

export const studio = $state({
  isOpen: false,
  /** path: { text, saved }; `text` null: taken away; `saved` null: not on the disk yet */
  files: {},
  handle: null,
  title: '',
  version: 0,
  draft: null,
  saving: '',
  toHandBack: []
});

/** The unsaved ones. */
export function changed() {
  return Object.entries(studio.files)
    .filter(([, file]) => file.text !== file.saved)
    .map(([path, file]) => ({ path, text: file.text, saved: file.saved }));
}

let draftTimer = 0;
function draftSoon() {
  clearTimeout(draftTimer);
  draftTimer = setTimeout(() => keepDraftNow(), 250);
}

async function keepDraftNow() {
  const draft = {};
  for (const { path, text, saved } of changed()) draft[path] = { text, saved };
  try {
    await places.keepDraft(studio.handle, studio.title, draft);
  } catch (failed) {
    studio.saving = `The draft could not be kept (${failed.message}); save soon.`;
  }
}

function touched() {
  studio.version += 1;
  draftSoon();
}

/** Opens texts as the studio. @param saved whether they are on the disk as they are */
export async function openFiles(files, { handle = null, title = '', saved = true } = {}) {
  engine.clear();
  studio.files = {};
  for (const [path, text] of Object.entries(files)) {
    studio.files[path] = { text, saved: saved ? text : null };
    engine.put(path, text);
  }
  studio.handle = handle;
  studio.title = title;
  studio.toHandBack = [];
  studio.saving = '';
  studio.isOpen = true;
  studio.version += 1;
  const draft = await places.keptDraft(handle, title);
  const differs = draft && Object.entries(draft).some(([path, file]) => file.text !== (studio.files[path]?.text ?? null));
  studio.draft = differs && saved ? draft : null;
}

/** A new studio, empty or with the invented demo. */
export async function start(withDemo) {
  engine.clear();
  const made = engine.run('start', [engine.kFolder], withDemo ? { demo: true } : {});
  if (made.status !== 0) throw new Error(made.talk);
  await openFiles(engine.all(), { title: withDemo ? 'demo' : 'new studio', saved: false });
}

export function takeUpDraft() {
  for (const [path, file] of Object.entries(studio.draft)) {
    studio.files[path] ??= { text: null, saved: null };
    studio.files[path].text = file.text;
    if (file.text === null) engine.drop(path);
    else engine.put(path, file.text);
  }
  studio.draft = null;
  touched();
}

export function leaveDraft() {
  studio.draft = null;
  keepDraftNow();
}

export const textOf = (path) => studio.files[path]?.text ?? null;

export function setText(path, text) {
  if (textOf(path) === text) return;
  studio.files[path] ??= { text: null, saved: null };
  studio.files[path].text = text;
  engine.put(path, text);
  touched();
}

export function takeAway(path) {
  if (studio.files[path].saved === null) delete studio.files[path];
  else studio.files[path].text = null;
  engine.drop(path);
  touched();
}

/** What a verb wrote in the engine's memory, taken over. */
function takeOver() {
  let any = false;
  for (const [path, text] of Object.entries(engine.all())) {
    if (textOf(path) === text) continue;
    studio.files[path] ??= { text: null, saved: null };
    studio.files[path].text = text;
    any = true;
  }
  if (any) touched();
}

const plain = (talk) => onThePage(talk.replaceAll(`${engine.kFolder}/`, ''));
const named = (words) => words.map((word) => (word === '' ? engine.kFolder : `${engine.kFolder}/${word}`));

function withJson(answer, options) {
  answer.talk = answer.talk.replaceAll(`${engine.kFolder}/`, '');
  answer.results = answer.results.replaceAll(`${engine.kFolder}/`, '');
  if (options.json && answer.status === 0) answer.json = JSON.parse(answer.results);
  return answer;
}

/** A verb that only tells. @returns {{status, results, talk}} with `json` where it was asked for */
export const tell = (verb, words, options = {}) => withJson(engine.run(verb, named(words), options), options);

/** What a verb prints, and its figures in JSON beside it. */
export function answerOf(verb, words, options = {}) {
  const answer = tell(verb, words, options);
  if (answer.status === 0) answer.json = tell(verb, words, { ...options, json: true }).json;
  return answer;
}

/** A verb that writes; `more` are words that are no files. */
export function doVerb(verb, options = {}, more = [], words = ['']) {
  const answer = withJson(engine.run(verb, [...named(words), ...more], options), options);
  takeOver();
  return answer;
}

const kOutside = '/outside';

/** Rows of an old spreadsheet, tried or written. @param naming such as ["net_g = Grams"] */
export function broughtIn(into, sheet, naming, isWritten) {
  const path = `${kOutside}/${sheet.name}`;
  engine.putAt(path, sheet.text);
  const answer = doVerb('bring-in', { columns: naming.join(', '), json: true, ...(isWritten ? { write: true } : {}) }, [into, path]);
  answer.talk = plain(answer.talk.replaceAll(`${kOutside}/`, ''));
  return answer;
}

/** The analyst's notebook: { answer, files }, texts by their names. */
export function notebook() {
  const folder = `${kOutside}/notebook`;
  engine.makeFolder(kOutside);
  const answer = withJson(engine.run('notebook', [engine.kFolder], { output: folder, again: true, json: true }), { json: true });
  return { answer, files: answer.status === 0 ? engine.allIn(folder) : {} };
}

export const asks = (question, path, more = {}) => {
  const answer = engine.ask(question, path, textOf(path), more);
  answer.talk = plain(answer.talk);
  return answer;
};

const read = new Map();
/** A question that only reads a file: asked once for each text of it, since a keystroke changes one file of many. */
export function asRead(question, path) {
  const text = textOf(path);
  const last = read.get(`${question} ${path}`);
  if (last?.text === text) return last.answer;
  const answer = asks(question, path);
  read.set(`${question} ${path}`, { text, answer });
  return answer;
}

/** Changes a file's text by a question. @returns {string} why not, or nothing */
export function change(question, path, more) {
  const answer = asks(question, path, more);
  if (answer.status !== 0) return answer.talk;
  setText(path, answer.answer);
  return '';
}

export const pieces = () => Object.keys(studio.files).filter((path) => path.startsWith('pieces/') && textOf(path) !== null).sort();

/** A table of the studio: { columns, rows } or null where it is not there or cannot be read. */
export function table(path) {
  if (textOf(path) === null) return null;
  const answer = asRead('table', path);
  return answer.status === 0 ? answer.answer : null;
}

/** The rows of a table as objects. */
export function records(path) {
  const read = table(path);
  if (!read) return [];
  return read.rows.map((cells) => Object.fromEntries(read.columns.map((column, i) => [column, cells[i]])));
}

export const yarnIds = () => records('yarns.csv').map((row) => row.id).filter(Boolean);

/** studio.toml as it is written. */
export function settings() {
  if (textOf('studio.toml') === null) return {};
  const answer = asRead('outline', 'studio.toml');
  return answer.status === 0 ? answer.answer : {};
}

function markSaved(all) {
  for (const { path, text } of all) {
    if (text === null) delete studio.files[path];
    else studio.files[path].saved = text;
  }
  keepDraftNow();
}

/** Saves to the folder, or lists what is to be handed back. @param over also over what another program changed */
export async function save(over = false) {
  const all = changed();
  if (!studio.handle) {
    studio.toHandBack = all;
    return;
  }
  try {
    const others = over ? [] : await places.changedElsewhere(studio.handle, all);
    if (others.length > 0) {
      studio.saving = `Not saved: ${others.join(', ')} was changed by another program since it was opened here. Open the folder again to see it, or save over it.`;
      return;
    }
    await places.writeFolder(studio.handle, all);
    markSaved(all);
    studio.saving = all.length === 1 ? 'Saved 1 file.' : `Saved ${all.length} files.`;
  } catch (failed) {
    studio.saving = `Not saved: ${failed.message}. What is on the disk is as it was for the files not yet written; save again.`;
  }
}

export function handBack(one) {
  places.handBack(one.path, one.text);
  studio.toHandBack = studio.toHandBack.filter((other) => other.path !== one.path);
  markSaved([one]);
}
