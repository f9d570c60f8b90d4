// What the page's tests share: the page in Chromium, the program beside it, studios to open.
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

export async function with_page(work, { width = 1280, height = 900, url = pathToFileURL(page_file).href } = {}) {
  if (!existsSync(page_file)) throw new Error('build/page/ellwand.html is not there; run tools/page/build');
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync']
  });
  const trouble = [];
  try {
    const context = await browser.newContext({ viewport: { width, height }, acceptDownloads: true });
    const page = await context.newPage();
    page.on('console', (message) => message.type() === 'error' && trouble.push(message.text()));
    page.on('pageerror', (error) => trouble.push(String(error)));
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
  return page.locator(`[data-verb="${verb}"] [data-key], [data-verb="${verb}"][data-key]`).evaluateAll((all) => all.map((one) => [one.dataset.key, Number(one.dataset.value), one.textContent]));
}

export const shots = process.env.ELLWAND_SHOTS;
export async function shot(page, name) {
  if (shots) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
}
export { join };
