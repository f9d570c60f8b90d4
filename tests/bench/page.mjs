// The page in Chromium, each measure beside its bar. Prints a table as `bench` does and never fails on a missed bar.
import { statSync } from 'node:fs';
import { page_file, with_page } from '../page/studio.mjs';

const kOpenings = 15;
const kKeystrokes = 61;
const kWarming = 11; // keystrokes before, while the browser still compiles

const median = (all) => [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)];
const milliseconds = (value) => `${value.toFixed(1)} ms`;

/** Before the page's own scripts: keeps the time of every call of the engine, whatever its functions are called. */
function time_the_engine() {
  window.calls_ms = [];
  const instantiate = WebAssembly.instantiate;
  let inside = 0;
  const counted = (work) => (...given) => {
    const start = performance.now();
    inside += 1;
    try {
      return work(...given);
    } finally {
      inside -= 1;
      if (inside === 0) window.calls_ms.push(performance.now() - start);
    }
  };
  WebAssembly.instantiate = async (...given) => {
    const { module, instance } = await instantiate(...given);
    const exports = Object.fromEntries(Object.entries(instance.exports).map(([name, one]) => [name, typeof one === 'function' ? counted(one) : one]));
    return { module, instance: { exports } };
  };
}

/** Of every keystroke from now on: from the key until the frame with other figures in the table is done. */
function time_keystrokes() {
  const figures = () => document.querySelector('table.needs')?.textContent;
  let before;
  const told = (event) => {
    requestAnimationFrame(() => {
      if (figures() === before) return told(event);
      // A message is taken after the frame in which it was sent.
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => window.keystrokes.push({ whole: performance.now() - event.timeStamp, calls: [...window.calls_ms] });
      port2.postMessage('');
    });
  };
  window.addEventListener('keydown', (event) => {
    if (!/^\d$/.test(event.key)) return;
    before = figures();
    window.calls_ms = [];
    told(event);
  }, true);
}

async function opening() {
  let times;
  await with_page(async (page) => {
    await page.getByRole('button', { name: 'Start a new studio' }).waitFor();
    times = await page.evaluate(() => ({ paint: performance.getEntriesByName('first-contentful-paint')[0].startTime, ready: window.ready }));
  }, {
    before: () => {
      const watch = () => (document.querySelector('.opening') ? (window.ready = performance.now()) : requestAnimationFrame(watch));
      watch();
    }
  });
  return times;
}

/** The rows of a band, another number at every key: 4, 5, 4... */
async function keystrokes(page) {
  const rows = page.locator('[name="band-4-rows"]');
  await page.evaluate(() => (window.keystrokes = []));
  for (let i = 0; i < kWarming + kKeystrokes; ++i) {
    await rows.focus();
    await page.keyboard.press('Control+A');
    await page.keyboard.press(i % 2 === 0 ? '5' : '4');
    await page.waitForFunction((count) => window.keystrokes.length === count, i + 1);
  }
  const all = await page.evaluate(() => window.keystrokes);
  return all.slice(kWarming);
}

async function typed() {
  const found = [];
  await with_page(async (page) => {
    const to_the_piece = async () => {
      await page.getByRole('button', { name: 'Pieces', exact: true }).click();
      await page.getByRole('button', { name: 'saltmarsh', exact: true }).click();
      await page.getByRole('table', { name: 'Yarn for Saltmarsh' }).waitFor();
      await page.getByRole('button', { name: /^4 weave/ }).click();
    };
    await page.getByRole('button', { name: 'Look round an invented one' }).click();
    await page.evaluate(time_keystrokes);
    await to_the_piece();
    found.push(['demo saltmarsh', await keystrokes(page)]);
    await page.getByRole('button', { name: 'Swatches', exact: true }).click();
    await page.getByRole('button', { name: 'Calibrate from what was measured' }).click();
    await page.locator('.answer[data-verb="calibrate"] .sentence').waitFor();
    await to_the_piece();
    found.push(['the same, calibrated', await keystrokes(page)]);
  }, { before: time_the_engine, args: ['--disable-frame-rate-limit', '--disable-gpu-vsync'] }); // the wait for the screen's next picture is not the page's
  return found;
}

const kBars = { file_MB: 1.5, paint_ms: 1000, estimate_ms: 16 };
const file_MB = statSync(page_file).size / 1e6;
const rows = [['the page, one file', `${kBars.file_MB} MB`, `${file_MB.toFixed(3)} MB`, file_MB / kBars.file_MB]];

const openings = [];
for (let i = 0; i < kOpenings; ++i) openings.push(await opening());
const paint = median(openings.map((one) => one.paint));
rows.push(['opened in a fresh browser, first paint', `${kBars.paint_ms / 1000} s`, milliseconds(paint), paint / kBars.paint_ms]);
rows.push(['  until it can be used', '-', milliseconds(median(openings.map((one) => one.ready))), 0]);

const sum = (all) => all.reduce((so_far, one) => so_far + one, 0);
for (const [what, all] of await typed()) {
  // The estimate is by far the longest of a key's calls; the others write the piece and read it.
  const estimate = median(all.map((one) => Math.max(...one.calls)));
  rows.push([`${what}, estimated anew`, `${kBars.estimate_ms} ms`, milliseconds(estimate), estimate / kBars.estimate_ms]);
  rows.push(['  from the key to the new figures on the screen', '-', milliseconds(median(all.map((one) => one.whole))), 0]);
  rows.push(['  of that, the engine', '-', milliseconds(median(all.map((one) => sum(one.calls)))), 0]);
  rows.push([`  the slowest of ${kKeystrokes}`, '-', milliseconds(Math.max(...all.map((one) => one.whole))), 0]);
}

const line = (what, ...cells) => console.log(`${what.padEnd(50)} ${cells.map((cell, i) => cell.padStart([10, 12, 8][i])).join(' ')}`);
line('what', 'bar', 'measured', 'of bar');
for (const [what, bar, measured, of_bar] of rows) line(what, bar, measured, of_bar > 0 ? of_bar.toFixed(2) : '-');
