// What the page's tests share: the page in Chromium, the program beside it, studios to open.
import assert from 'node:assert/strict';
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join, relative, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

export const top = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const require = createRequire(join(top, 'tools/page/package.json'));
const { chromium } = require('playwright-core');
export const axeSource = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

export const page_file = join(top, 'build/page/ellwand.html');
const program = process.env.ELLWAND ?? join(top, 'build/developer/ellwand');

/** The program's answer in JSON. */
export function program_json(...words) {
  return JSON.parse(execFileSync(program, [...words, '--json'], { encoding: 'utf8' }));
}
export const program_run = (...words) => spawnSync(program, words, { encoding: 'utf8' });

/** A folder with the demo studio, taken away after `work`. */
export async function with_demo(work) {
  const folder = mkdtempSync(join(tmpdir(), 'ellwand-page-'));
  try {
    const studio = join(folder, 'studio');
    execFileSync(program, ['start', studio, '--demo'], { stdio: 'ignore' });
    await work(studio);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Every file below a folder, by its path within it. */
export function files_of(folder) {
  const files = {};
  const walk = (inner) => {
    for (const name of readdirSync(inner)) {
      const path = join(inner, name);
      if (statSync(path).isDirectory()) walk(path);
      else files[relative(folder, path)] = readFileSync(path, 'utf8');
    }
  };
  walk(folder);
  return files;
}

/** The page in a browser of its own. @param before run in it before the page's scripts; `args` go to the browser */
export async function with_page(work, { width = 1280, height = 900, url = pathToFileURL(page_file).href, before, args = [] } = {}) {
  if (!existsSync(page_file)) throw new Error('build/page/ellwand.html is not there; run tools/page/build');
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync', ...args]
  });
  const trouble = [];
  try {
    const context = await browser.newContext({ viewport: { width, height }, acceptDownloads: true });
    const page = await context.newPage();
    page.on('console', (message) => message.type() === 'error' && trouble.push(message.text()));
    page.on('pageerror', (error) => trouble.push(String(error)));
    if (before) await page.addInitScript(before);
    await page.goto(url);
    await work(page, context);
  } finally {
    await browser.close();
  }
  if (trouble.length > 0) throw new Error(`the console has errors: ${trouble.join('; ')}`);
}

/** Opens a folder of the disk by the real file chooser. */
export async function open_folder(page, folder) {
  await page.getByTestId('folder').setInputFiles(folder);
  await page.getByRole('button', { name: 'Pieces', exact: true }).waitFor();
}

/** A value by its way in an object, "yarns.NAME.plan_m"; in a list of tables an entry is found by its yarn. */
export function value_at(object, way) {
  return way.split('.').reduce((value, step) => (Array.isArray(value) ? (value.find((one) => one.yarn === step) ?? value[Number(step)]) : value[step]), object);
}

/** Every figure of a screen that names its place in the JSON. */
export async function figures_of(page, verb) {
  return page.locator(`[data-verb="${verb}"] [data-key], [data-verb="${verb}"][data-key]`).evaluateAll((all) => all.map((one) => [one.dataset.key, Number(one.dataset.value), one.textContent, Number(one.dataset.times ?? 1)]));
}

const kDigits = 1e-10; // of what is reckoned in a browser and by the compiler's own libraries
export const close = (a, b) => Math.abs(a - b) <= kDigits * Math.max(1e-12, Math.abs(b));

/** Whether a text is a way to tell this number: rounded, in percent, in words. */
export function tells(text, value) {
  const near = (told, meant, by) => Math.abs(told - meant) <= by;
  const [, one_in] = /^1 in (\d+)$/.exec(text) ?? [];
  if (text === 'under 1 in 1000') return value < 0.001;
  if (text === 'all but certain') return value > 0.995;
  if (text === 'under 1 %') return value < 0.005;
  if (text === 'over 99 %') return value > 0.995;
  if (one_in) return near(Number(one_in), 1 / value, 0.5 + 0.05 / value);
  if (text.endsWith(' in 100')) return near(parseInt(text, 10), 100 * value, 0.5);
  const [, hours, minutes] = /^(?:(\d+) h )?(\d+) min$/.exec(text) ?? [];
  if (minutes) return near(60 * Number(hours ?? 0) + Number(minutes), value, 0.5);
  const number = Number(/^[-+]?[\d.]+/.exec(text.replace('−', '-'))?.[0]);
  const meant = text.endsWith(' %') ? 100 * value : value;
  const decimals = (/^[-+−]?\d+\.(\d+)/.exec(text)?.[1] ?? '').length;
  // Whole numbers are rounded to tens where the range is wide; a shortage is told without its sign.
  const place = 10 ** /0*$/.exec(text.split(' ')[0])[0].length;
  return near(Math.abs(number), Math.abs(meant), decimals > 0 ? 10 ** -decimals : Math.max(1, Math.min(place, 0.1 * Math.abs(meant))));
}

/** Holds every figure of a verb on the screen against the program's. @param wanted ways that have to be among them */
export async function hold_figures(page, verb, told, wanted = []) {
  const figures = await figures_of(page, verb);
  const ways = new Set(figures.map(([way]) => way));
  for (const [way, shown, text, times] of figures) {
    const meant = value_at(told, way);
    assert.ok(close(shown, meant), `${verb} ${way}: ${shown} on the page, ${meant} by the program`);
    assert.ok(tells(text, meant * times), `${verb} ${way}: "${text}" on the page, ${meant} by the program`);
  }
  for (const way of wanted) assert.ok(ways.has(way), `${verb} shows no ${way}`);
  return figures.length;
}

/** Saves where no folder is held: every changed file, as it is handed back. */
export async function kept_files(page) {
  const files = {};
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  while ((await page.getByRole('button', { name: /^Keep .*\./ }).count()) > 0) {
    const button = page.getByRole('button', { name: /^Keep .*\./ }).first();
    const name = (await button.textContent()).replace('Keep ', '');
    const [file] = await Promise.all([page.waitForEvent('download'), button.click()]);
    files[name] = readFileSync(await file.path(), 'utf8');
  }
  return files;
}

export const shots = process.env.ELLWAND_SHOTS;
export async function shot(page, name) {
  if (shots) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
}
export { join };
