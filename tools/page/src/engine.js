// The engine in the browser: the verbs of the command line on files of its own memory, under /studio.
import openEngine from 'virtual:engine';
import wasmInText from 'virtual:engine-wasm';
import { bytesIn } from './dense.js';

export const kFolder = '/studio';
let module;

async function bytesOf(text) {
  const stream = new Blob([bytesIn(text)]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/** Makes the engine ready; the other functions need it. */
export async function open() {
  module ??= await openEngine({ wasmBinary: await bytesOf(wasmInText), print: () => {}, printErr: () => {} });
  module.FS.getStream(0).tty = undefined; // nobody types here: a verb that would ask refuses in its plain words
}

/** @returns {{status: number, results: string, talk: string}} */
export function run(verb, words, options = {}) {
  return JSON.parse(module.ccall('ellwand_run', 'string', ['string'], [JSON.stringify({ verb, words, options })]));
}

/** A question about a file's text, or the text changed. @returns {{status: number, answer: any, talk: string}} */
export function ask(question, file, text, more = {}) {
  return JSON.parse(module.ccall('ellwand_text', 'string', ['string'], [JSON.stringify({ ask: question, file, text, ...more })]));
}

/** The names of the verbs there are. */
export const verbs = () => JSON.parse(module.ccall('ellwand_verbs', 'string', [], []));

function removeAll(path) {
  for (const name of module.FS.readdir(path)) {
    if (name === '.' || name === '..') continue;
    const inner = `${path}/${name}`;
    if (module.FS.isDir(module.FS.stat(inner).mode)) {
      removeAll(inner);
      module.FS.rmdir(inner);
    } else module.FS.unlink(inner);
  }
}

/** Nothing is left in the engine's folder. */
export function clear() {
  if (module.FS.analyzePath(kFolder).exists) {
    removeAll(kFolder);
    module.FS.rmdir(kFolder);
  }
}

/** @param file its whole path */
export function putAt(file, text) {
  module.FS.mkdirTree(file.slice(0, file.lastIndexOf('/')));
  module.FS.writeFile(file, text);
}

export const makeFolder = (path) => module.FS.mkdirTree(path);

export const put = (path, text) => putAt(`${kFolder}/${path}`, text);

export function drop(path) {
  module.FS.unlink(`${kFolder}/${path}`);
}

/** A text with its byte order mark, if it has one. */
export const textOf = (bytes) => new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes);

/** @returns {Record<string, string>} every file of a folder, by its path within it */
export function allIn(top) {
  const files = {};
  const walk = (folder, prefix) => {
    for (const name of module.FS.readdir(folder)) {
      if (name === '.' || name === '..') continue;
      const inner = `${folder}/${name}`;
      if (module.FS.isDir(module.FS.stat(inner).mode)) walk(inner, `${prefix}${name}/`);
      else files[prefix + name] = textOf(module.FS.readFile(inner));
    }
  };
  walk(top, '');
  return files;
}

/** Every file of the studio. */
export const all = () => allIn(kFolder);
