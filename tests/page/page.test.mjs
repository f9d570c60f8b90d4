// The page in real Chromium, held against the program on the same files.
import assert from 'node:assert/strict';
import { createServer } from 'node:http';
import { readFileSync, statSync } from 'node:fs';
import { test } from 'node:test';
import { axeSource, close, figures_of, files_of, join, kept_files, open_folder, page_file, program_run, shot, value_at, with_demo, with_page } from './studio.mjs';

test('the page is one file without anything from elsewhere', () => {
  const text = readFileSync(page_file, 'utf8');
  assert.ok(statSync(page_file).size < 1_500_000, `${statSync(page_file).size} bytes`);
  assert.doesNotMatch(text, /<(script|link|img)[^>]*(src|href)="https?:/);
});

async function served(work) {
  const server = createServer((_, answer) => answer.writeHead(200, { 'content-type': 'text/html' }).end(readFileSync(page_file)));
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  try {
    await work(`http://127.0.0.1:${server.address().port}/`);
  } finally {
    server.close();
  }
}

test('from nothing to a quote: yarns, a piece, three swatches, calibrated, a swap, a quote in PDF, saved, reopened', async () => {
  await with_demo(async (studio) => {
    await with_page(async (page) => {
      await page.getByRole('button', { name: 'Start a new studio' }).click();
      await page.getByRole('button', { name: 'Yarns', exact: true }).click();
      for (const [id, count, use] of [['twine', '12/6 seine twine', 'warp'], ['wool', '200 m/100 g', 'weft']]) {
        const fresh = (column) => page.locator(`[name="new-${column}"]`).first();
        await fresh('id').fill(id);
        await fresh('fibre').fill(id === 'twine' ? 'cotton' : 'wool');
        await fresh('kind').fill('plied');
        await fresh('ply').fill(id === 'twine' ? '6' : '2');
        await fresh('count').fill(count);
        await fresh('put_up').fill('100 g');
        await fresh('price').fill('7.90');
        await fresh('use').fill(use);
        await page.getByRole('button', { name: 'Add the new row' }).first().click();
      }
      await page.getByRole('button', { name: 'Pieces', exact: true }).click();
      await page.getByLabel('Name of a new piece').fill('First Tide');
      await page.getByRole('button', { name: 'Begin it' }).click();
      await page.getByRole('table', { name: 'Yarn for First Tide' }).waitFor();
      await page.getByLabel('Add a band on top').selectOption('soumak');
      await page.locator('[name="band-2-rows"]').fill('3');
      await page.getByLabel('Add a band on top').selectOption('knotted fringe');
      await page.getByRole('button', { name: 'Move band 3 down' }).click();
      await page.getByRole('button', { name: 'Move band 2 down' }).click();
      await shot(page, 'first-piece');
      await page.getByRole('button', { name: 'Swatches', exact: true }).click();
      for (const [name, rows, used] of [['w-1', '40', '6'], ['w-2', '60', '9'], ['w-3', '50', '7.5']]) {
        const fill = (key, text) => page.locator(`[name="swatch-${key}"]`).fill(text);
        await fill('swatch', name);
        await page.locator('[name="swatch-warp-yarn"]').selectOption('twine');
        await page.locator('[name="swatch-yarn"]').selectOption('wool');
        await page.locator('[name="swatch-loom"]').selectOption('frame');
        await fill('sett-per-cm', '4');
        await fill('ends', '40');
        await fill('rows', rows);
        await fill('used-g', used);
        await page.getByRole('button', { name: 'Write it down' }).click();
        const told = await page.getByRole('status').filter({ hasText: 'swatches.csv' }).or(page.locator('.refusal')).first().textContent();
        assert.match(told, new RegExp(`Recorded in swatches.csv.*${name}`, 's'), told);
      }
      await shot(page, 'swatches');
      await page.getByRole('button', { name: 'Calibrate from what was measured' }).click();
      await page.locator('.answer[data-verb="calibrate"] .sentence').waitFor();

      await page.getByRole('button', { name: 'Files', exact: true }).click();
      const toml = page.getByLabel('Text of studio.toml');
      await toml.fill(`${await toml.inputValue()}\n[price]\nhourly_rate = "20.00"\nmargin = "30 %"\n[price.minutes]\nbesides = 60\nweave = 1\nsoumak = 2\n"knotted fringe" = 4\n`);
      await page.getByRole('button', { name: 'Pieces', exact: true }).click();
      await page.getByText('swatches of').waitFor();
      await page.getByRole('button', { name: 'Another yarn in place of one' }).click();
      await page.locator('[name="swap-yarn"]').selectOption('wool');
      const swapped = page.locator('.answer[data-verb="swap"]');
      await swapped.waitFor();
      assert.equal(await swapped.getAttribute('data-status'), '0', await swapped.textContent());
      await page.getByRole('button', { name: 'What to charge' }).click();
      const priced = page.locator('.answer[data-verb="price"]');
      await priced.waitFor();
      assert.equal(await priced.getAttribute('data-status'), '0', await priced.textContent());
      const [quote] = await Promise.all([page.waitForEvent('popup'), page.getByRole('button', { name: 'Open the quote to print' }).click()]);
      await quote.getByText('First Tide').first().waitFor();
      assert.equal((await quote.pdf({ format: 'A4' })).subarray(0, 5).toString(), '%PDF-');
      await quote.close();
      const [sheet] = await Promise.all([page.waitForEvent('popup'), page.getByRole('button', { name: 'Open the sheet to print' }).click()]);
      await sheet.getByText('First Tide').first().waitFor();
      assert.equal((await sheet.pdf({ format: 'A4' })).subarray(0, 5).toString(), '%PDF-');
      await sheet.close();

      const files = await kept_files(page);
      assert.ok(['studio.toml', 'pieces/first-tide.toml', 'swatches.csv', 'calibration.json'].every((name) => name in files), Object.keys(files).join());
      const figures = await figures_of(page, 'estimate');
      const { mkdirSync, writeFileSync, rmSync } = await import('node:fs');
      rmSync(studio, { recursive: true });
      mkdirSync(join(studio, 'pieces'), { recursive: true });
      for (const [name, text] of Object.entries(files)) writeFileSync(join(studio, name), text);
      const told = program_run('estimate', join(studio, 'pieces/first-tide.toml'), '--json');
      assert.equal(told.status, 0, told.stderr);
      const piece = JSON.parse(told.stdout).pieces[0];
      for (const [way, shown] of figures) assert.ok(close(shown, value_at(piece, way)), way);
      assert.match(files['pieces/first-tide.toml'], /knotted fringe[^]*weave[^]*soumak/);
      await page.reload();
      await open_folder(page, studio);
      await page.getByRole('table', { name: 'Yarn for First Tide' }).waitFor();
      assert.deepEqual(await figures_of(page, 'estimate'), figures);
    });
  });
});

test('what the page does not know stays as it was, byte by byte', async () => {
  await with_demo(async (studio) => {
    const { writeFileSync, appendFileSync } = await import('node:fs');
    appendFileSync(join(studio, 'pieces/saltmarsh.toml'), '\n# the tide was high\n[mood]\nkey = "grey"\n');
    writeFileSync(join(studio, 'lots.csv'), '\uFEFFyarn;lot;net_g;smell\r\nrug-wool-ash;310;96,5;sheep\r\nlinen-fringe;;88;');
    const before = files_of(studio);
    await with_page(async (page) => {
      await open_folder(page, studio);
      await page.locator('[name="ends"]').fill('46');
      await page.getByRole('button', { name: 'Yarns', exact: true }).click();
      await page.getByLabel('net g of row 1').fill('90,5');
      await page.getByLabel('net g of row 1').blur();
      const kept = await kept_files(page);
      assert.deepEqual(Object.keys(kept).sort(), ['lots.csv', 'pieces/saltmarsh.toml']);
      assert.equal(kept['pieces/saltmarsh.toml'], before['pieces/saltmarsh.toml'].replace('ends = 45', 'ends = 46'));
      assert.equal(kept['lots.csv'], before['lots.csv'].replace('96,5', '90,5'));
    });
  });
});

test('a closed tab loses nothing: the draft is offered again, the record is untouched', async () => {
  await with_demo(async (studio) => {
    const before = files_of(studio);
    await with_page(async (page) => {
      await open_folder(page, studio);
      await page.locator('[name="ends"]').fill('51');
      await page.getByText('1 file not saved').waitFor();
      await page.waitForTimeout(600);
      await page.reload();
      await open_folder(page, studio);
      await page.getByRole('button', { name: 'Take them up' }).click();
      assert.equal(await page.locator('[name="ends"]').inputValue(), '51');
    });
    assert.deepEqual(files_of(studio), before);
  });
});

test('a folder that the browser holds is saved into, and another program\'s change is not written over', async () => {
  await with_demo(async (studio) => {
    await served(async (url) => {
      await with_page(async (page) => {
        // No headless browser can drive the folder chooser: a folder of the browser's own disk stands in for it.
        await page.evaluate(async (files) => {
          const root = await navigator.storage.getDirectory();
          const folder = await root.getDirectoryHandle('studio', { create: true });
          const file = async (path) => {
            const steps = path.split('/');
            let inner = folder;
            for (const step of steps.slice(0, -1)) inner = await inner.getDirectoryHandle(step, { create: true });
            return inner.getFileHandle(steps.at(-1), { create: true });
          };
          window.writeText = async (path, text) => {
            const out = await (await file(path)).createWritable();
            await out.write(text);
            await out.close();
          };
          window.textOf = async (path) => (await (await file(path)).getFile()).text();
          for (const [path, text] of Object.entries(files)) await window.writeText(path, text);
          window.showDirectoryPicker = async () => folder;
        }, files_of(studio));
        const before = files_of(studio);
        await page.getByRole('button', { name: 'Open my studio\'s folder' }).click();
        await page.locator('[name="ends"]').fill('47');
        await page.getByRole('button', { name: 'Save', exact: true }).click();
        await page.getByText('Saved 1 file.').waitFor();
        const on_disk = (path) => page.evaluate((name) => window.textOf(name), path);
        assert.equal(await on_disk('pieces/saltmarsh.toml'), before['pieces/saltmarsh.toml'].replace('ends = 45', 'ends = 47'));
        assert.equal(await on_disk('yarns.csv'), before['yarns.csv']);
        await page.evaluate((text) => window.writeText('pieces/saltmarsh.toml', text), '# by another program\n');
        await page.locator('[name="ends"]').fill('48');
        await page.getByRole('button', { name: 'Save', exact: true }).click();
        await page.getByText('was changed by another program').first().waitFor();
        assert.equal(await on_disk('pieces/saltmarsh.toml'), '# by another program\n');
        await page.getByRole('button', { name: 'Save over it' }).click();
        await page.getByText('Saved 1 file.').waitFor();
        assert.equal(await on_disk('pieces/saltmarsh.toml'), before['pieces/saltmarsh.toml'].replace('ends = 45', 'ends = 48'));
      }, { url });
    });
  });
});

test('it works by the keyboard alone', async () => {
  await with_demo(async (studio) => {
    await with_page(async (page) => {
      await open_folder(page, studio);
      await page.locator('body').click({ position: { x: 1, y: 1 } });
      const reach = async (wanted, most = 60) => {
        for (let i = 0; i < most; ++i) {
          await page.keyboard.press('Tab');
          const focused = await page.evaluate(() => document.activeElement?.name || document.activeElement?.textContent?.trim() || '');
          if (focused === wanted) return;
        }
        assert.fail(`${wanted} is not reached by Tab`);
      };
      await reach('undertow');
      await page.keyboard.press('Enter');
      await page.getByRole('table', { name: 'Yarn for Undertow' }).waitFor();
      await reach('ends');
      await page.keyboard.press('Control+A');
      await page.keyboard.type('36');
      await page.getByText('1 file not saved').waitFor();
      await page.getByRole('button', { name: 'Swatches', exact: true }).focus();
      await page.keyboard.press('Enter');
      await reach('Calibrate from what was measured');
      await page.keyboard.press('Enter');
      await reach('Every figure, and what it rests on');
      await page.keyboard.press('Enter');
      const way = (await page.locator('.ways button.link').first().textContent()).trim();
      await reach(way);
      await page.keyboard.press('Enter');
      await page.getByText(`What it rests on: ${way}`).waitFor();
    });
  });
});

test('the sheet fits any screen down to 320 px, and on paper is a table as ever', async () => {
  await with_demo(async (studio) => {
    await with_page(async (page) => {
      await open_folder(page, studio);
      for (const piece of ['saltmarsh', 'sedge', 'shingle', 'tideline', 'undertow', 'wrackline']) {
        await page.getByRole('navigation', { name: 'Pieces' }).getByRole('button', { name: piece, exact: true }).click();
        const [sheet] = await Promise.all([page.waitForEvent('popup'), page.getByRole('button', { name: 'Open the sheet to print' }).click()]);
        await sheet.getByRole('heading', { level: 1 }).waitFor();
        for (const width of [1280, 700, 320]) {
          await sheet.setViewportSize({ width, height: 900 });
          const spilled = await sheet.evaluate(() => [document.documentElement, ...document.querySelectorAll('.scroll')].map((one) => one.scrollWidth - one.clientWidth));
          assert.deepEqual(spilled, spilled.map(() => 0), `the sheet of ${piece} or one of its tables scrolls sideways at ${width} px`);
        }
        await sheet.evaluate(axeSource);
        const found = await sheet.evaluate(async () => (await window.axe.run(document)).violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).slice(0, 2).join(' ')}`));
        assert.deepEqual(found, [], piece);
        await shot(sheet, `sheet-${piece}-320`);
        await sheet.emulateMedia({ media: 'print' });
        const printed = await sheet.locator('.order').evaluate((table) => [table, table.querySelector('tbody tr'), table.querySelector('tbody td')].map((one) => getComputedStyle(one).display));
        assert.deepEqual(printed, ['table', 'table-row', 'table-cell'], 'on paper it is a table');
        await sheet.close();
      }
    });
  });
});

for (const [name, width, zoom] of [['320 px wide', 320, 1], ['200 % large', 640, 1], ['wide', 1400, 1]]) {
  test(`nothing spills over and axe finds nothing, ${name}`, async () => {
    await with_demo(async (studio) => {
      await with_page(async (page) => {
        await page.getByRole('button', { name: 'Start a new studio' }).waitFor();
        const look = async (screen) => {
          const spilled = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
          assert.ok(spilled <= 0, `${screen} is ${spilled} px too wide`);
          await page.evaluate(axeSource);
          const found = await page.evaluate(async () => (await window.axe.run(document)).violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).slice(0, 2).join(' ')}`));
          assert.deepEqual(found, [], screen);
          await shot(page, `${screen}-${width}`);
        };
        await look('opening');
        await open_folder(page, studio);
        await look('pieces');
        await page.getByRole('button', { name: /^3 weave/ }).click();
        await look('band');
        await page.getByText('Band by band, and what to cut').click();
        for (const [verb, title] of [['howfar', 'How far does my yarn go?'], ['enough', 'Midway: is there enough?'], ['swap', 'Another yarn in place of one'], ['kit', 'Pack kits of it'], ['price', 'What to charge']]) {
          await page.getByRole('button', { name: title }).click();
          for (const [key, text] of verb === 'enough' ? [['band', '3'], ['rows', '24'], ['left', '26 g']] : []) await page.locator(`[name="enough-${key}"]`).fill(text);
          if (verb === 'enough') await page.locator('[name="enough-yarn"]').selectOption('rug-wool-ash');
          if (verb === 'swap') await page.locator('[name="swap-yarn"]').selectOption('rug-wool-rust');
          await page.locator(`.answer[data-verb="${verb}"][data-status="0"]`).waitFor();
          await look(verb);
        }
        for (const [screen, button] of [['Yarns', 'For the planned pieces'], ['Swatches', 'Which swatch teaches most?'], ['Files', '']]) {
          await page.getByRole('button', { name: screen, exact: true }).click();
          if (screen === 'Swatches') {
            await page.getByRole('button', { name: 'Calibrate from what was measured' }).click();
            await page.getByText('The same in a table').click();
            await page.getByText('Every figure, and what it rests on').click();
            await page.locator('.ways button.link').first().click();
          }
          if (button) await page.getByRole('button', { name: button }).click();
          await look(screen.toLowerCase());
        }
      }, { width });
    });
  });
}

test('it runs from an address as from a file', async (t) => {
  await with_demo(async (studio) => {
    await served(async (url) => {
      await with_page(async (page) => {
        await page.getByRole('button', { name: 'Start a new studio' }).waitFor();
        const paint = await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime);
        await open_folder(page, studio);
        await page.getByRole('table', { name: 'Yarn for Saltmarsh' }).waitFor();
        t.diagnostic(`first paint after ${Math.round(paint)} ms, to be under 1000`);
      }, { url });
    });
  });
});
