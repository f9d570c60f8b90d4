import { textOf } from './engine.js';

// Where a studio's files come from and go to: a folder of the disk where the browser can hold one, else files chosen
// and files handed back. Drafts are kept beside, never in place of, the record.

const textIn = async (file) => textOf(await file.arrayBuffer());
const kDraft = '.ellwand-draft.json';

/** Whether a path within a folder is a file of a studio. */
export function isOfStudio(path) {
  return /^(studio\.toml|[a-z-]+\.csv|calibration(-before)?\.json|pieces\/[^/]+\.toml|estimates\/[^/]+\.json)$/.test(path) && !/(^|\/)\./.test(path);
}

/** Whether this browser can hold a folder of the disk. */
export const holdsFolders = () => typeof window.showDirectoryPicker === 'function';

export const chooseFolder = () => window.showDirectoryPicker({ mode: 'readwrite' });

export async function readFolder(handle) {
  const files = {};
  const walk = async (folder, prefix) => {
    for await (const [name, entry] of folder.entries()) {
      const path = prefix + name;
      if (entry.kind === 'directory') {
        if (prefix === '' && (name === 'pieces' || name === 'estimates')) await walk(entry, `${path}/`);
      } else if (isOfStudio(path)) files[path] = await textIn(await entry.getFile());
    }
  };
  await walk(handle, '');
  return files;
}

async function folderOf(handle, path, create) {
  const steps = path.split('/');
  const name = steps.pop();
  let folder = handle;
  for (const step of steps) folder = await folder.getDirectoryHandle(step, { create });
  return [folder, name];
}

/** The text on the disk now, or null where there is none. */
async function textOnDisk(handle, path) {
  try {
    const [folder, name] = await folderOf(handle, path, false);
    return await textIn(await (await folder.getFileHandle(name)).getFile());
  } catch (gone) {
    if (gone.name === 'NotFoundError') return null;
    throw gone;
  }
}

async function writeText(handle, path, text) {
  const [folder, name] = await folderOf(handle, path, true);
  const out = await (await folder.getFileHandle(name, { create: true })).createWritable();
  await out.write(text);
  await out.close(); // takes the old file's place in one step
}

/** Those of the changed files that some other program changed since they were read. */
export async function changedElsewhere(handle, changed) {
  const others = [];
  for (const { path, saved } of changed) {
    if ((await textOnDisk(handle, path)) !== saved) others.push(path);
  }
  return others;
}

export async function writeFolder(handle, changed) {
  for (const { path, text } of changed) {
    if (text === null) {
      const [folder, name] = await folderOf(handle, path, false);
      await folder.removeEntry(name);
    } else await writeText(handle, path, text);
  }
}

/** Files of a file chooser: of a whole folder, or one by one. */
export async function readChosen(list) {
  const files = {};
  for (const file of list) {
    let path = file.webkitRelativePath ? file.webkitRelativePath.split('/').slice(1).join('/') : file.name;
    if (!file.webkitRelativePath && path.endsWith('.toml') && path !== 'studio.toml') path = `pieces/${path}`;
    if (isOfStudio(path)) files[path] = await textIn(file);
  }
  return files;
}

/** Hands one file to the browser to keep. @param content text or bytes */
export function handBack(path, content, type = 'text/plain;charset=utf-8') {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([content], { type }));
  link.download = path.split('/').pop();
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** Opens what a verb wrote as a page of its own. @param answer of a verb whose result is HTML */
export function openPage(answer) {
  if (answer.status !== 0) return;
  const made = URL.createObjectURL(new Blob([answer.results], { type: 'text/html' }));
  window.open(made, '_blank');
  setTimeout(() => URL.revokeObjectURL(made), 60_000);
}

function database() {
  return new Promise((done, fail) => {
    const asked = indexedDB.open('ellwand', 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore('drafts');
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}

async function inDatabase(mode, work) {
  const base = await database();
  try {
    return await new Promise((done, fail) => {
      const change = base.transaction('drafts', mode);
      const asked = work(change.objectStore('drafts'));
      change.oncomplete = () => done(asked?.result);
      change.onerror = () => fail(change.error);
    });
  } finally {
    base.close();
  }
}

/** Keeps unsaved texts; none takes the draft away. @param key the studio's name, where there is no folder */
export async function keepDraft(handle, key, draft) {
  const isEmpty = Object.keys(draft).length === 0;
  if (handle) {
    if (!isEmpty) await writeText(handle, kDraft, JSON.stringify(draft));
    else if ((await textOnDisk(handle, kDraft)) !== null) await handle.removeEntry(kDraft);
    return;
  }
  await inDatabase('readwrite', (drafts) => (isEmpty ? drafts.delete(key) : drafts.put(draft, key)));
}

/** @returns {Promise<Record<string, {text: string|null, saved: string|null}>|null>} */
export async function keptDraft(handle, key) {
  try {
    if (handle) return JSON.parse(await textOnDisk(handle, kDraft));
    return (await inDatabase('readonly', (drafts) => drafts.get(key))) ?? null;
  } catch {
    return null;
  }
}
