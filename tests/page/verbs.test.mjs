// Every verb the page has: its screen is driven, and each figure on it is the program's on the same files.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { test } from 'node:test';
import { close, files_of, hold_figures, join, kept_files, open_folder, program_json, program_run, shot, with_demo, with_page } from './studio.mjs';

const screen = (page, name) => page.getByRole('button', { name, exact: true }).click();
const all_of = (told, list, keys) => told[list].flatMap((_, i) => keys.map((key) => `${list}.${i}.${key}`));
const ranged = (keys) => keys.flatMap((key) => ['mid', 'low', 'high'].map((end) => `${key}.${end}`));

async function fill(page, verb, fields) {
  for (const more of await page.locator('.question details:not([open]) > summary', { hasText: 'More to say' }).all()) await more.click();
  for (const [key, text] of Object.entries(fields)) {
    const field = page.locator(`[name="${verb}-${key}"]`);
    if ((await field.evaluate((one) => one.tagName)) === 'SELECT') await field.selectOption(text);
    else await field.fill(text);
  }
}

/** Asks a question on the screen; the first sentence and every figure are the program's. */
async function ask(page, studio, verb, button, piece, fields, wanted) {
  if (piece) await page.getByRole('navigation', { name: 'Pieces' }).getByRole('button', { name: piece, exact: true }).click();
  await page.getByRole('button', { name: button }).click();
  await fill(page, verb, fields);
  const words = [verb, piece ? join(studio, `pieces/${piece}.toml`) : studio, ...Object.entries(fields).flatMap(([key, text]) => [`--${key}`, text])];
  const sentence = program_run(...words).stdout.split('\n')[0];
  const answer = page.locator(`.answer[data-verb="${verb}"]`);
  await answer.locator('.sentence', { hasText: sentence }).waitFor();
  const told = program_json(...words);
  await hold_figures(page, verb, told, wanted(told));
  await shot(page, `question-${verb}`);
  assert.equal((await answer.locator('pre').textContent()).replaceAll('/studio', studio), program_run(...words).stdout);
  await page.getByRole('button', { name: button }).click();
}

/** Whether two texts are the same but for the last digits of numbers. */
function same_but_for_digits(one, other, name) {
  const split = (text) => text.split(/([-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?)/); // 12 beside 11.999999999999998
  const [a, b] = [split(one), split(other)];
  assert.equal(a.length, b.length, name);
  // A fit stops within 1e-10 of its unknowns; what hangs on differences of two has less.
  a.forEach((part, i) => assert.ok(i % 2 === 0 ? part === b[i] : Math.abs(part - b[i]) <= 1e-6 * Math.max(1e-3, Math.abs(b[i])), `${name}: "${part}" on the page, "${b[i]}" by the program`));
}

/** The picture of how sure each yarn is: its figures and their places against `--json`, its ends and texts against `--plot`. */
async function hold_picture(page, file, told) {
  const yarns = told.yarns.map((yarn, i) => [yarn, i]).filter(([yarn]) => yarn.length_m.mid > 0);
  const heads = await page.locator('.sure .heads').textContent();
  const plot = program_run('estimate', file, '--plot').stdout.split('\n');
  const percents = (text) => [...text.matchAll(/(\d+) %/g)].map(([, number]) => Number(number));
  const [low, , high] = percents(plot.find((line) => line.includes('set aside')));
  assert.deepEqual(percents(heads).sort((a, b) => a - b), [low, 100, high]);
  const drawn = await page.locator('.sure [data-yarn]').evaluateAll((lines) => lines.map((line) => {
    const place = (way) => line.querySelector(`[data-key$="${way}"] line`)?.x1.baseVal.valueInSpecifiedUnits;
    return { yarn: line.dataset.yarn, aside: line.querySelector('.aside').textContent, low: place('.low'), mid: place('.mid'), high: place('.high'), shelf: line.querySelector('.shelf')?.width.baseVal.valueInSpecifiedUnits };
  }));
  assert.deepEqual(drawn.map((line) => line.yarn), yarns.map(([yarn]) => yarn.yarn));
  const share = (place) => (low + (place / 100) * (high - low)) / 100;
  const near = (place, meant, what) => assert.ok(Math.abs(share(place) - Math.min(high / 100, Math.max(low / 100, meant))) < 1e-5, `${what}: drawn at ${share(place)}, ${meant} by the program`); // lengths of SVG are single floats
  for (const [at, [yarn]] of yarns.entries()) {
    const line = drawn[at];
    for (const end of ['low', 'mid', 'high']) near(line[end], yarn.length_m[end] / yarn.length_m.mid, `${yarn.yarn} ${end}`);
    assert.equal(line.shelf === undefined, yarn.on_shelf_g === null, yarn.yarn);
    if (yarn.on_shelf_g !== null) near(line.shelf, yarn.on_shelf_g / yarn.mass_g.mid, `${yarn.yarn} on the shelf`);
    assert.ok(plot.find((row) => row.startsWith(`  ${yarn.yarn} `)).endsWith(line.aside), `${yarn.yarn}: ${line.aside} on the page`);
  }
}

/** What a text of the program says under a heading, line by line. */
function lines_under(text, head) {
  const lines = text.split('\n');
  const at = lines.indexOf(head);
  const end = lines.indexOf('', at);
  return at < 0 ? [] : lines.slice(at + 1, end < 0 ? undefined : end).map((line) => line.trim()).filter(Boolean);
}

// verb: how its screen is driven and held against the program.
const kRows = {
  start: async (page, studio) => {
    await page.getByRole('button', { name: 'Look round an invented one' }).click();
    await page.getByRole('table', { name: 'Yarn for Saltmarsh' }).waitFor();
    assert.deepEqual(await kept_files(page), files_of(studio));
  },
  estimate: async (page, studio) => {
    await open_folder(page, studio);
    for (const piece of ['saltmarsh', 'sedge', 'shingle', 'tideline', 'undertow', 'wrackline']) {
      await page.getByRole('navigation', { name: 'Pieces' }).getByRole('button', { name: piece, exact: true }).click();
      const told = program_json('estimate', join(studio, `pieces/${piece}.toml`)).pieces[0];
      await page.getByRole('table', { name: `Yarn for ${told.name}` }).waitFor();
      const why = page.getByRole('button', { name: told.yarns[0].yarn, exact: true });
      if ((await why.getAttribute('aria-expanded')) === 'false') await why.click();
      const bands = told.bands.map((band, i) => [band, i]).filter(([band]) => band.band > 0 && band.yarn && !band.comes_out);
      await hold_figures(page, 'estimate', told, [...all_of(told, 'yarns', [...ranged(['length_m', 'mass_g']), 'set_aside_m', 'set_aside_g']), ...bands.flatMap(([, i]) => ranged([`bands.${i}.length_m`])), ...all_of(told, 'cuts', ['count', 'length_cm']), 'size.finished.width_cm', `yarns.${told.yarns[0].yarn}.plan_m`]);
      await hold_picture(page, join(studio, `pieces/${piece}.toml`), told);
      await shot(page, `piece-${piece}`);
    }
    await page.getByRole('button', { name: 'Keep this estimate' }).click();
    const kept = Object.entries(await kept_files(page)).find(([name]) => name.startsWith('estimates/'));
    const told = program_json('estimate', join(studio, 'pieces/wrackline.toml')).pieces[0];
    assert.ok(close(JSON.parse(kept[1]).pieces[0].yarns[0].plan_m, told.yarns[0].plan_m));
  },
  howfar: async (page, studio) => {
    await open_folder(page, studio);
    await ask(page, studio, 'howfar', 'How far does my yarn go?', 'saltmarsh', { change: 'size' }, (told) => ['answers.0.most.value', 'answers.0.now.value', ...told.answers[0].yarns.flatMap((_, i) => ['need_g', 'stash_g', 'over_g', 'chance_short'].map((key) => `answers.0.yarns.${i}.${key}`))]);
    await ask(page, studio, 'howfar', 'How far does my yarn go?', 'saltmarsh', { change: 'ends, hang of band 1' }, (told) => told.answers.flatMap((_, i) => [`answers.${i}.most.value`, `answers.${i}.beside.value`, `answers.${i}.finished.width_cm`]));
  },
  enough: async (page, studio) => {
    await open_folder(page, studio);
    await ask(page, studio, 'enough', 'Midway: is there enough?', 'undertow', { band: '4', rows: '12', left: '3.6 g', start: '5.6 g', step: '0.1 g' }, () => ['left', 'over_likely', 'over_when_safe', 'so_far.used', ...ranged(['to_come', 'to_come_foretold', 'so_far.foretold'])]);
  },
  swap: async (page, studio) => {
    await open_folder(page, studio);
    await ask(page, studio, 'swap', 'Another yarn in place of one', 'saltmarsh', { yarn: 'rug-wool-rust', with: 'rug-wool-ash, seine-12-6' }, (told) => [...ranged(['original.length_m']), ...all_of(told, 'candidates', [...ranged(['length_m', 'mass_g']), 'set_aside_g', 'cost', 'thickness_ratio', 'cover_ratio', 'chance_too_thick', 'chance_too_thin', 'score', 'places.0.rows', 'places.0.thickness_ratio'])]);
  },
  kit: async (page, studio) => {
    await open_folder(page, studio);
    await ask(page, studio, 'kit', 'Pack kits of it', 'wrackline', { kits: '12' }, (told) => [...all_of(told, 'yarns', [...ranged(['need_g']), 'pack_g', 'kits_from_shelf', 'cost']), ...all_of(told, 'besides', ['cost']), 'cost_each.labour', 'cost_each.all', 'minutes_to_pack']);
    await ask(page, studio, 'kit', 'Pack kits of it', 'saltmarsh', { class: '8' }, (told) => told.yarns.map((yarn, i) => `yarns.${i}.singly_${yarn.packed === 'balls' ? 'g' : 'm'}`));
  },
  price: async (page, studio) => {
    await open_folder(page, studio);
    await ask(page, studio, 'price', 'What to charge', 'saltmarsh', { pieces: '3', margin: '40 %' }, (told) => ['each.minutes', 'each.labour', 'each.overhead', 'each.cost', 'each.fees', 'each.left', 'each.price', 'cost_range.low', 'price_range.high', ...all_of(told, 'yarns', ['cost_each']), ...all_of(told, 'consumables', ['cost']), ...all_of(told, 'labour', ['minutes', 'cost']), ...all_of(told, 'series', ['minutes', 'cost', 'price', 'all_pieces'])]);
  },
  buy: async (page, studio) => {
    await open_folder(page, studio);
    await screen(page, 'Yarns');
    const wanted = (told) => [...all_of(told, 'lent', ['length_m.high', 'on_shelf_g']), ...told.yarns.flatMap((yarn, i) => [...yarn.lots.flatMap((_, k) => [`yarns.${i}.lots.${k}.holds_g`, `yarns.${i}.lots.${k}.likely_left_g`]), ...(yarn.put_ups > 0 ? [`yarns.${i}.put_ups`, `yarns.${i}.cost`, `yarns.${i}.chance_short`] : [])])];
    await ask(page, studio, 'buy', 'For the planned pieces', '', {}, wanted);
    await ask(page, studio, 'buy', 'For the planned pieces', '', { 'running-out': '40' }, wanted);
  },
  'weave-next': async (page, studio) => {
    await open_folder(page, studio);
    await screen(page, 'Swatches');
    await ask(page, studio, 'weave-next', 'Which swatch teaches most?', '', { minutes: '90' }, (told) => [...all_of(told, 'swatches', ['minutes', told.planned ? 'narrower_share' : 'information_nats']), ...told.swatches[0].narrowed.flatMap((_, i) => ranged([`swatches.0.narrowed.${i}.now_m`, `swatches.0.narrowed.${i}.then_m`]))]);
  },
  calibrate: async (page, studio) => {
    await open_folder(page, studio);
    await screen(page, 'Swatches');
    await page.getByRole('button', { name: 'Calibrate from what was measured' }).click();
    const told = program_json('calibrate', studio, '--dry-run');
    await page.locator('.answer[data-verb="calibrate"] .sentence').waitFor();
    await page.getByText('The same in a table').click();
    const known = told.coefficients.map((one, i) => [one, i]).filter(([one]) => one.settled >= 0.05);
    await hold_figures(page, 'calibrate', told, [...all_of(told, 'left_out', ['start.typically_off', 'now.typically_off', 'start.inside', 'now.inside', 'amounts']), ...all_of(told, 'predictions', ['measured', ...ranged(['start', 'now'])]), ...known.flatMap(([, i]) => [`coefficients.${i}.settled`, ...ranged([`coefficients.${i}.start`, `coefficients.${i}.now`])])]);
    const inside = (side, all = told.predictions) => all.filter((one) => one[side].low <= one.measured && one.measured <= one[side].high).length;
    for (const side of ['start', 'now']) assert.equal(inside(side), told.left_out[0][side].inside);
    const weighed = told.predictions.filter((one) => one.unit === 'g'); // those in m are too few for a plot
    const described = await page.locator('.foretold svg[role="img"] desc').allTextContents();
    assert.deepEqual(described.map((text) => text.match(/^(\d+) of (\d+) /).slice(1).map(Number)), ['start', 'now'].map((side) => [inside(side, weighed), weighed.length]));
    assert.equal(await page.locator('.foretold .pair .point').count(), 2 * weighed.length);
    await page.getByText('Every figure, and what it rests on').click();
    for (const [at, [one]] of known.entries()) {
      await page.locator('.ways button.link').nth(at).click();
      await page.getByText(`What it rests on: ${one.meaning}`).waitFor();
      const of = (list, key, isIts) => told[list].flatMap((other, i) => (isIts(other) ? [`${list}.${i}.${key}`] : []));
      await hold_figures(page, 'calibrate', told, [...of('influences', 'spreads', (other) => other.coefficient === one.name), ...of('conflicts', 'starting_spreads', (other) => other.coefficient === one.name), ...of('not_told_apart', 'correlation', (other) => other.first === one.name || other.second === one.name)]);
      if (one.settle_by) await page.locator('.rests', { hasText: one.settle_by }).waitFor();
    }
    const why = program_run('calibrate', studio, '--dry-run', '--why').stdout.replaceAll(`${studio}/`, '');
    const answer = (await page.locator('[data-verb="calibrate"]').allInnerTexts()).join('\n');
    const wanted = [...lines_under(why, 'To know more'), ...lines_under(why, 'Standing apart'), ...why.split('\n').filter((line) => /^(Of |Scores )/.test(line))];
    assert.ok(wanted.length > 3, why);
    for (const line of wanted) assert.ok(answer.includes(line), `the page does not say "${line}"`);
    await shot(page, 'calibrated');
    assert.equal(program_run('calibrate', studio).status, 0);
    await screen(page, 'Pieces');
    await hold_figures(page, 'estimate', program_json('estimate', join(studio, 'pieces/saltmarsh.toml')).pieces[0]);
  },
  sheet: async (page, studio) => {
    await open_folder(page, studio);
    await page.getByRole('table', { name: 'Yarn for Saltmarsh' }).waitFor();
    await page.evaluate(() => {
      const make = URL.createObjectURL;
      URL.createObjectURL = (blob) => {
        window.handed = blob.text();
        return make.call(URL, blob);
      };
    });
    const piece = join(studio, 'pieces/saltmarsh.toml');
    const [sheet] = await Promise.all([page.waitForEvent('popup'), page.getByRole('button', { name: 'Open the sheet to print' }).click()]);
    same_but_for_digits(await page.evaluate(() => window.handed), program_run('sheet', piece).stdout, 'the sheet');
    const told = program_json('sheet', piece);
    const text = await sheet.locator('body').innerText();
    for (const size of [told.size.loom, told.size.finished]) for (const cm of Object.values(size)) assert.ok(text.includes(cm.toFixed(1)), `the sheet has no ${cm}`);
    for (const cut of told.cuts) assert.ok(text.includes(cut.length_cm.toFixed(1)), `the sheet has no cut of ${cut.length_cm} cm`);
    await sheet.close();
    const drawn = await page.locator('.picture').innerHTML();
    assert.ok(drawn.includes('<svg'));
  },
  record: async (page, studio) => {
    await open_folder(page, studio);
    await screen(page, 'Swatches');
    const swatch = { swatch: 'new-1', loom: 'notched board', 'warp-yarn': 'seine-12-6', ends: '60', work: 'weave', yarn: 'rug-wool-ash', rows: '40', 'used-g': '9' };
    const entries = [['swatch', '', swatch], ['minutes', 'Minutes spent', { piece: 'saltmarsh', band: '2', rows: '36', minutes: '95', date: '2026-05-02' }], ['finished', 'A finished piece', { piece: 'saltmarsh', yarn: 'rug-wool-ash', 'used-g': '21' }], ['lot', 'A bought lot', { yarn: 'rug-wool-ash', lot: '340', 'net-g': '100' }]];
    for (const [kind, title, fields] of entries) {
      if (title) await page.locator('summary', { hasText: title }).click();
      const form = page.getByRole('form', { name: title || 'A measured swatch' });
      for (const [key, text] of Object.entries(fields)) {
        const field = form.locator(`[name="${kind}-${key}"]`);
        if ((await field.evaluate((one) => one.tagName)) === 'SELECT') await field.selectOption(text);
        else await field.fill(text);
      }
      const ran = program_run('record', studio, kind, ...Object.entries(fields).flatMap(([key, text]) => [`--${key}`, text]));
      assert.equal(ran.status, 0, ran.stderr);
      await form.getByRole('button', { name: 'Write it down' }).click();
      await page.getByRole('status').filter({ hasText: ran.stdout.split('\n')[0] || 'Recorded' }).first().waitFor();
    }
    const kept = await kept_files(page);
    const written = files_of(studio);
    assert.deepEqual(Object.keys(kept).sort(), ['lots.csv', 'pieces/saltmarsh.toml', 'swatches.csv', 'time.csv']);
    for (const [name, text] of Object.entries(kept)) assert.equal(text, written[name], name);
  },
  notebook: async (page, studio) => {
    await open_folder(page, studio);
    await screen(page, 'Swatches');
    const [file] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download a notebook for an analyst' }).click()]);
    assert.equal(file.suggestedFilename(), 'calibration-notebook.zip');
    const [mine, theirs] = [join(studio, '../mine'), join(studio, '../theirs')];
    execFileSync('python3', ['-m', 'zipfile', '-e', await file.path(), mine]); // a reader that is not ours
    const ran = program_run('notebook', studio, '-o', theirs);
    assert.equal(ran.status, 0, ran.stderr);
    const [a, b] = [files_of(mine), files_of(theirs)];
    assert.deepEqual(Object.keys(a).sort(), Object.keys(b).sort());
    for (const name of Object.keys(a)) same_but_for_digits(a[name].replaceAll('/studio/', ''), b[name].replaceAll(`${studio}/`, ''), name);
  },
  'bring-in': async (page, studio) => {
    await open_folder(page, studio);
    await screen(page, 'Yarns');
    const old = join(studio, '../old.csv');
    writeFileSync(old, 'Name;Fibre;Count;Ball;Paid;Shelf mark\r\nMoor wool, peat;wool;200 m/100 g;50;7,90;A3\r\nLinen 16/2;linen;16/2 linen;100 g;;B1\r\n');
    await page.getByTestId('sheet').setInputFiles(old);
    for (const [ours, theirs] of [['label', 'Name'], ['fibre', 'Fibre'], ['count', 'Count'], ['put_up', 'Ball'], ['price', 'Paid']]) await page.locator(`[name="bring-${ours}"]`).selectOption(theirs);
    await page.locator('[name="bring-use"]').selectOption({ label: 'the same in every row' });
    await page.locator('[name="bring-use-same"]').fill('weft');
    const naming = ['bring-in', studio, 'yarns', old, '--columns', 'label = Name, fibre = Fibre, count = Count, put_up = Ball [g], price = Paid, use = "weft"'];
    const told = program_json(...naming);
    await page.getByText('2 rows of old.csv would go into yarns.csv.').waitFor();
    const cells = await page.locator('table[data-verb="bring-in"] tbody tr').evaluateAll((rows) => rows.map((row) => [...row.cells].map((cell) => cell.textContent)));
    assert.deepEqual(cells, told.rows);
    await page.getByText('Left out: Shelf mark.').waitFor();
    await page.getByText('All is saved').waitFor();
    await shot(page, 'bring-in');
    await page.locator('[name="bring-count"]').selectOption('Shelf mark');
    await page.locator('.bringin .refusal', { hasText: 'old.csv' }).waitFor();
    assert.equal(await page.getByRole('button', { name: 'Write it', exact: true }).count(), 0);
    await page.locator('[name="bring-count"]').selectOption('Count');
    await page.getByRole('button', { name: 'Write it', exact: true }).click();
    await page.getByText('2 rows are in yarns.csv now').waitFor();
    assert.equal(program_run(...naming, '--write').status, 0);
    assert.deepEqual(await kept_files(page), { 'yarns.csv': files_of(studio)['yarns.csv'] });
  }
};

// `page` is what opens this page, `completion` is for shells.
const kNotHere = ['completion', 'page'];

test('every verb has a row here', () => {
  const helped = program_run('--help').stdout;
  const verbs = [...helped.matchAll(/^ {2}([a-z]+(?:-[a-z]+)*) {2,}\S/gm)].map(([, verb]) => verb).filter((verb) => verb !== 'ellwand');
  assert.deepEqual(verbs.sort(), [...Object.keys(kRows), ...kNotHere].sort());
});

for (const [verb, drive] of Object.entries(kRows)) {
  test(`${verb} on its screen is the program's`, async () => {
    await with_demo(async (studio) => {
      await with_page(async (page) => drive(page, studio));
    });
  });
}
