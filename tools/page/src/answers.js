// Each verb's answer as tables: every figure is one of the verb's JSON and keeps its way in it.
import { chanceInPercent, fixed, halfOf, hours, inSteps, inStepsUp, oneIn, percent, ranged, roundedTo, roundedUpTo } from './figures.js';

/** Reads a verb's JSON by ways such as "yarns.0.need_g.mid"; a cell is a list of texts and figures. */
class Reader {
  constructor(json, units) {
    this.json = json;
    this.units = units;
  }
  at(way) {
    return way.split('.').reduce((value, step) => value?.[step], this.json);
  }
  /** One figure, told by `tell`; a stroke where there is none. */
  one(way, tell = String) {
    const value = this.at(way);
    if (value === null || value === undefined) return ['–'];
    return [{ text: tell(value), key: way, value }];
  }
  /** "18 (16 to 21)" */
  range(way, factor = 1) {
    const value = this.at(way);
    const told = ranged(value, factor);
    const part = (key) => ({ text: told[key], key: `${way}.${key}`, value: value[key] });
    return told.low === undefined ? [part('mid')] : [part('mid'), ' (', part('low'), ' to ', part('high'), ')'];
  }
  /** With the digits that half its range leaves. */
  mass(way, doubt) {
    return this.one(way, (g) => `${roundedTo(g * this.units.perGram, doubt * this.units.perGram)} ${this.units.mass}`);
  }
  massUp(way, doubt) {
    return this.one(way, (g) => `${roundedUpTo(g * this.units.perGram, doubt * this.units.perGram)} ${this.units.mass}`);
  }
  lengthUp(way, doubt) {
    return this.one(way, (m) => `${roundedUpTo(m * this.units.perMetre, doubt * this.units.perMetre)} ${this.units.yarn}`);
  }
  /** In steps of a gram or metre. */
  massInSteps(way, step = 1) {
    return this.one(way, (g) => `${inSteps(g * this.units.perGram, step * this.units.perGram)} ${this.units.mass}`);
  }
  massInStepsUp(way, step = 1) {
    return this.one(way, (g) => `${inStepsUp(g * this.units.perGram, step * this.units.perGram)} ${this.units.mass}`);
  }
  lengthInSteps(way, step = 1) {
    return this.one(way, (m) => `${inSteps(m * this.units.perMetre, step * this.units.perMetre)} ${this.units.yarn}`);
  }
  lengthInStepsUp(way, step = 1) {
    return this.one(way, (m) => `${inStepsUp(m * this.units.perMetre, step * this.units.perMetre)} ${this.units.yarn}`);
  }
  size(way) {
    return this.one(way, (cm) => fixed(cm * this.units.perCm));
  }
  sizes(way) {
    return [...this.size(`${way}.width_cm`), ' × ', ...this.size(`${way}.height_cm`)];
  }
  money(way) {
    return this.one(way, (amount) => fixed(amount, this.decimals));
  }
  get decimals() {
    try {
      return new Intl.NumberFormat('en', { style: 'currency', currency: this.json.currency }).resolvedOptions().maximumFractionDigits;
    } catch {
      return 2;
    }
  }
  get currency() {
    return this.json.currency || 'amount';
  }
  count(list) {
    return (this.at(list) ?? []).map((_, i) => `${list}.${i}`);
  }
}

const plain = (value) => String(Math.round(value * 1e3) / 1e3);
const listed = (words) => (words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`);

/** "saltmarsh (bands 3 and 7)" */
function placesTold(places) {
  const pieces = [...new Set(places.map((one) => one.piece))];
  return listed(pieces.map((piece) => {
    const bands = places.filter((one) => one.piece === piece).map((one) => one.band).sort((a, b) => a - b);
    const worked = bands.filter((band) => band > 0);
    const told = [bands[0] === 0 ? 'warp or cord' : '', worked.length ? `band${worked.length === 1 ? '' : 's'} ${listed(worked)}` : ''];
    return `${piece} (${told.filter(Boolean).join(', ')})`;
  }));
}

function settingTold(read, way) {
  const { measure, value } = read.at(way);
  if (measure === 'size') return read.one(`${way}.value`, percent);
  if (measure === 'height' || measure === 'hang') {
    const [part] = read.one(`${way}.value`, (m) => fixed(m * 100 * read.units.perCm));
    return [{ ...part, times: 100 }, ` ${read.units.length}`]; // metres told in centimetres
  }
  return read.one(`${way}.value`, () => String(Math.round(value)));
}
const measureTold = ({ measure, band }) => (band ? `${measure} of band ${band}` : measure);

function howfar(read) {
  const kBinds = { yarn: 'yarn', loom: 'the loom', design: 'the design', nothing: 'nothing' };
  const tables = [];
  const answers = read.count('answers');
  const first = read.at('answers.0');
  const heads = [measureTold(first.most), 'now', 'binds', 'finished, width × height'];
  if (first.beside) heads.unshift(measureTold(first.beside));
  tables.push({
    caption: `The most the yarn suffices for`,
    heads,
    rows: answers.map((way) => {
      const bound = read.at(`${way}.binds`);
      const row = [settingTold(read, `${way}.most`), settingTold(read, `${way}.now`), [bound.yarn ?? kBinds[bound.what]], [...read.sizes(`${way}.finished`), ` ${read.units.length}`]];
      if (first.beside) row.unshift(settingTold(read, `${way}.beside`));
      return row;
    })
  });
  if (answers.length > 1) return tables;
  tables.push({
    caption: 'Yarn at that, the scarcest first',
    heads: ['yarn', 'to have', 'there is', 'over', 'runs short'],
    rows: read.count('answers.0.yarns').map((way) => {
      const step = Math.min(1, Math.max(0.01, 0.3 * Math.abs(read.at(`${way}.over_g`))));
      return [[read.at(`${way}.yarn`)], read.massInStepsUp(`${way}.need_g`, step), read.massInSteps(`${way}.stash_g`, step), read.massInSteps(`${way}.over_g`, step), read.one(`${way}.chance_short`, oneIn)];
    })
  });
  return tables;
}

function enough(read) {
  const json = read.json;
  const isMass = json.unit === 'g';
  const factor = isMass ? read.units.perGram : read.units.perMetre;
  const unit = isMass ? read.units.mass : read.units.yarn;
  const amount = (way, doubt) => read.one(way, (value) => roundedTo(Math.abs(value) * factor, doubt * factor));
  const doubt = 0.1 * halfOf(json.to_come);
  const at = `${plain(100 * json.confidence)} %`;
  const rows = [];
  if (json.so_far) rows.push([['used so far'], amount('so_far.used', halfOf(json.so_far.foretold)), read.range('so_far.foretold', factor)]);
  rows.push([['still to come'], read.range('to_come', factor), read.range('to_come_foretold', factor)]);
  rows.push([['left'], amount('left', doubt), ['']]);
  rows.push([[json.over_likely < 0 ? 'short, most likely' : 'over, most likely'], amount('over_likely', doubt), ['']]);
  rows.push([[json.over_when_safe < 0 ? `missing to be safe at ${at}` : `over though safe at ${at}`], amount('over_when_safe', doubt), ['']]);
  return [{ caption: `${json.yarn}, ${json.rows} of ${json.of_rows} rows of band ${json.band} woven`, heads: ['', `now, ${unit}`, `foretold before, ${unit}`], rows }];
}

const strandsTold = (strand) => (strand.split_into > 1 ? `${strand.held} of ${strand.split_into}` : String(strand.held));
const times = (read, way) => [...(read.at(way) === null ? ['–'] : ['× ', ...read.one(way, (ratio) => fixed(ratio, 2))])];

function swap(read) {
  const { units } = read;
  const top = read.top ?? 5;
  const ways = ['original', ...read.count('candidates').slice(0, top)];
  const named = (way) => [read.at(`${way}.yarn`) + (read.at(`${way}.is_elsewhere`) ? ' *' : '')];
  const strands = (way) => [[...new Set(read.at(`${way}.places`).map((one) => strandsTold(one.strands)))].join(', ')];
  const toBuy = (way) => (read.at(`${way}.cost_to_buy`) && read.at(`${way}.put_ups_to_buy`) ? [...read.one(`${way}.put_ups_to_buy`), ', ', ...read.money(`${way}.cost_to_buy`)] : read.one(`${way}.put_ups_to_buy`));
  const tables = [
    {
      caption: 'What each takes, the original first',
      heads: ['yarn', 'strands', `${units.yarn}, 9 times in 10`, `${units.mass}, 9 times in 10`, 'set aside', 'on the shelf', 'put-ups to buy', read.currency],
      rows: ways.map((way) => [named(way), strands(way), read.range(`${way}.length_m`, units.perMetre), read.range(`${way}.mass_g`, units.perGram), read.massUp(`${way}.set_aside_g`, halfOf(read.at(`${way}.mass_g`))), read.massInSteps(`${way}.on_shelf_g`), toBuy(way), read.money(`${way}.cost`)])
    },
    {
      caption: 'What changes; less of a score is better',
      heads: ['yarn', `width × height, ${units.length}`, 'thickness', 'cover', 'too thick', 'too thin', 'score'],
      rows: ways.map((way) => [named(way), read.sizes(`${way}.finished`), times(read, `${way}.thickness_ratio`), times(read, `${way}.cover_ratio`), read.one(`${way}.chance_too_thick`, chanceInPercent), read.one(`${way}.chance_too_thin`, chanceInPercent), read.one(`${way}.score`, (score) => fixed(Math.abs(score) < 0.005 ? 0 : score, 2))])
    }
  ];
  const shown = read.isNamed ? ways.slice(1) : ways.slice(1, 2);
  for (const way of shown) {
    tables.push({
      caption: `With ${read.at(`${way}.yarn`)}, place by place`,
      heads: ['place', 'strands', 'thickness', 'cover', 'rows', units.length, 'too thick', 'too thin'],
      rows: read.count(`${way}.places`).map((place) => {
        const one = read.at(place);
        const isBand = one.place === 'band';
        return [[isBand ? `band ${one.band}, ${one.work}` : one.work], [`${strandsTold(one.strands)} for ${strandsTold(one.strands_before)}`], times(read, `${place}.thickness_ratio`), times(read, `${place}.cover_ratio`),
          isBand ? [...read.one(`${place}.rows`), ' for ', ...read.one(`${place}.rows_before`)] : ['–'],
          isBand && one.height_before_cm > 0 ? [...read.size(`${place}.height_cm`), ' for ', ...read.size(`${place}.height_before_cm`)] : ['–'],
          read.one(`${place}.chance_too_thick`, chanceInPercent), read.one(`${place}.chance_too_thin`, chanceInPercent)];
      })
    });
  }
  return tables;
}

// What is lent for a band and had back: it has to be there, and is neither bought nor in the cost.
function lentTables(read) {
  const lent = read.count('lent');
  if (lent.length === 0) return [];
  return [{
    caption: 'Lent, and had back: neither bought nor in the cost',
    heads: ['yarn', 'at most', 'on the shelf', 'for'],
    rows: lent.map((way) => [[read.at(`${way}.yarn`)], read.lengthInStepsUp(`${way}.length_m.high`), read.massInSteps(`${way}.on_shelf_g`), [`${read.at(`${way}.piece`)} (band ${read.at(`${way}.band`)})`]])
  }];
}

function kit(read) {
  const isClass = read.json.pupils !== null;
  const { units } = read;
  const isBall = (way) => read.at(`${way}.packed`) === 'balls';
  const amount = (way, key) => (isBall(way) ? read.one(`${way}.${key}_g`, (g) => `${plain(g * units.perGram)} ${units.mass}`) : read.one(`${way}.${key}_m`, (m) => `${plain(m * units.perMetre)} ${units.yarn}`));
  const need = (way) => (isBall(way) ? [...read.range(`${way}.need_g`, units.perGram), ` ${units.mass}`] : [...read.range(`${way}.need_m`, units.perMetre), ` ${units.yarn}`]);
  const yarns = read.count('yarns');
  const has = (way) => read.at(`${way}.lots`).length > 0;
  const tables = [{
    caption: isClass ? 'Yarn for the class' : 'Yarn in a kit',
    heads: ['yarn', isClass ? 'for all' : 'in each', 'one takes, 9 times in 10', ...(isClass ? ['packed singly, each'] : []), 'on the shelf', isClass ? 'does' : 'makes', 'put-ups to buy', 'then left'],
    rows: yarns.map((way) => [[read.at(`${way}.yarn`)], amount(way, 'pack'), need(way), ...(isClass ? [amount(way, 'singly')] : []), has(way) ? read.massInSteps(`${way}.on_shelf_g`) : ['–'],
      isClass ? [read.at(`${way}.kits_from_shelf`) > 0 ? 'yes' : 'no'] : read.one(`${way}.kits_from_shelf`), read.one(`${way}.put_ups_to_buy`), has(way) ? read.massInSteps(`${way}.left_g`) : ['–']])
  }];
  if (read.json.cost_each) {
    const lines = isClass ? [[['yarn'], read.money('cost_each.yarn')]] : yarns.map((way) => [[read.at(`${way}.yarn`)], read.money(`${way}.cost`)]);
    for (const way of read.count('besides')) lines.push([[read.at(`${way}.what`)], read.money(`${way}.cost`)]);
    if (read.json.cost_each.labour > 0) lines.push([['packing, ', ...read.one('minutes_to_pack', (minutes) => `${plain(minutes)} min`)], read.money('cost_each.labour')]);
    lines.push([['together'], read.money('cost_each.all')]);
    tables.push({ caption: isClass ? 'What each share costs' : 'What a kit costs', heads: ['', read.currency], rows: lines, sumAt: lines.length - 1 });
  }
  return tables; // what is lent with a kit stands in its packing list
}

function price(read) {
  const { each, policy } = read.json;
  const lines = read.count('yarns').map((way) => {
    const yarn = read.at(way);
    const what = yarn.put_ups ? [`${yarn.yarn}, `, ...read.one(`${way}.put_ups`), ` put-up${yarn.put_ups === 1 ? '' : 's'}${each.pieces > 1 ? ' for all' : ''}`] : [yarn.yarn];
    return [what, read.money(`${way}.cost_each`)];
  });
  for (const way of read.count('consumables')) lines.push([[read.at(`${way}.what`)], read.money(`${way}.cost`)]);
  lines.push([['labour, ', ...read.one('each.minutes', hours), ' at ', ...read.money('policy.hourly_rate')], read.money('each.labour')]);
  if (policy.overhead > 0) lines.push([['overhead, ', ...read.one('policy.overhead', (share) => `${plain(100 * share)} %`), ' of labour'], read.money('each.overhead')]);
  if (read.json.rounding !== 0) lines.push([['rounding'], read.money('rounding')]);
  const costAt = lines.length;
  lines.push([['cost'], read.money('each.cost')]);
  if (policy.fees > 0) lines.push([['fees, ', ...read.one('policy.fees', (share) => `${plain(100 * share)} %`), ' of the price'], read.money('each.fees')]);
  const share = (way) => read.one(way, (value) => `${plain(100 * value)} %`);
  lines.push([policy.margin === null ? ['markup, ', ...share('policy.markup'), ' of the cost, and rounding'] : ['margin, ', ...share('policy.margin'), ' of the price, and rounding'], read.money('each.left')]);
  lines.push([['price'], read.money('each.price')]);
  const placeTold = (line) => (line.band > 0 ? `band ${line.band}, ${line.work}` : line.work === 'besides' ? 'warping, sewing in, finishing' : line.work);
  const kBasis = { given: 'as given', log: 'your log', stated: 'as stated', 'starting value': 'a starting value' };
  return [
    { caption: 'What each costs', heads: ['', read.currency], rows: lines, sumAt: [costAt, lines.length - 1] },
    { caption: 'Minutes of work', heads: ['where', 'time', 'by', read.currency], rows: read.count('labour').map((way) => [[placeTold(read.at(way))], read.one(`${way}.minutes`, hours), [kBasis[read.at(`${way}.basis`)]], read.money(`${way}.cost`)]) },
    { caption: 'In a series', heads: ['pieces', 'time each', 'cost each', 'price each', 'all'], rows: read.count('series').map((way) => [read.one(`${way}.pieces`), read.one(`${way}.minutes`, hours), read.money(`${way}.cost`), read.money(`${way}.price`), read.money(`${way}.all_pieces`)]) },
    { caption: 'How sure', heads: ['', 'from', 'to'], rows: [[['cost, 9 times in 10'], read.money('cost_range.low'), read.money('cost_range.high')], [['a price reckoned from it'], read.money('price_range.low'), read.money('price_range.high')]] }
  ];
}

function buy(read) {
  const unit = (way) => ('to_buy_g' in read.at(way) ? '_g' : '_m');
  const amountIn = (way, name, tell) => {
    const isMass = unit(way) === '_g';
    return read[`${isMass ? 'mass' : 'length'}${tell}`](`${way}.${name}${unit(way)}`);
  };
  const yarns = read.count('yarns');
  const bought = yarns.filter((way) => read.at(`${way}.put_ups`) !== 0);
  // Of several sizes each with its number.
  const sizesTold = (way) => {
    const sizes = read.count(`${way}.sizes`);
    if (sizes.length === 0) return read.at(`${way}.put_ups`) === null ? [unit(way) === '_g' ? 'by weight' : 'by length'] : amountIn(way, 'put_up', 'InSteps');
    const holds = (size) => read[unit(way) === '_g' ? 'massInSteps' : 'lengthInSteps'](`${size}.put_up${unit(way)}`);
    if (sizes.length === 1) return holds(sizes[0]);
    return sizes.flatMap((size, at) => [...(at > 0 ? [', '] : []), ...read.one(`${size}.put_ups`), ' of ', ...holds(size)]);
  };
  const tables = [];
  if (bought.length > 0) {
    tables.push({
      caption: 'To buy',
      heads: ['yarn', 'put-ups', 'of', 'needs at most', 'runs short', 'likely left', read.currency, 'for'],
      rows: bought.map((way) => [[read.at(`${way}.yarn`)], read.one(`${way}.put_ups`), sizesTold(way), amountIn(way, 'to_buy', 'InStepsUp'), read.one(`${way}.chance_short`, oneIn), amountIn(way, 'likely_left', 'InSteps'), read.money(`${way}.cost`), [placesTold(read.at(`${way}.bought_for`))]])
    });
  }
  const lots = yarns.flatMap((way) => read.count(`${way}.lots`).map((lot) => [way, lot]));
  if (lots.length > 0) {
    tables.push({
      caption: 'From the shelf',
      heads: ['yarn', 'lot', 'holds', 'runs short', 'likely left', 'for'],
      rows: lots.map(([way, lot]) => [[read.at(`${way}.yarn`)], [read.at(`${lot}.lot`) || '–'], read.massInSteps(`${lot}.holds_g`), read.one(`${lot}.chance_short`, oneIn), read.massInSteps(`${lot}.likely_left_g`), [read.at(`${lot}.for`).length ? placesTold(read.at(`${lot}.for`)) : 'nothing here']])
    });
  }
  return [...tables, ...lentTables(read)];
}

function weaveNext(read) {
  const { units, json } = read;
  const tables = [{
    caption: 'Swatches, the best first',
    heads: ['swatch', 'yarn', 'as in', 'ends', 'rows', 'measure', 'minutes', units.mass, json.planned ? 'ranges narrower by' : 'nats'],
    rows: read.count('swatches').map((way) => {
      const one = read.at(way);
      return [[one.work ?? '–'], [one.yarn], [one.work ? `band ${one.like_band} of ${one.like_piece}` : '–'], one.work ? read.one(`${way}.ends`) : ['–'], one.work ? read.one(`${way}.rows`) : ['–'], [one.measuring], read.one(`${way}.minutes`, (minutes) => fixed(minutes, 0)),
        one.mass_g > 0 ? read.one(`${way}.mass_g`, (g) => inStepsUp(g * units.perGram, 0.5 * g * units.perGram)) : ['–'], json.planned ? read.one(`${way}.narrower_share`, percent) : read.one(`${way}.information_nats`, (nats) => fixed(nats, 2))];
    })
  }];
  const narrowed = read.count('swatches.0.narrowed');
  if (narrowed.length > 0) {
    tables.push({
      caption: `What the first would narrow, ${units.yarn}, 9 times in 10`,
      heads: ['piece', 'yarn', 'now', 'then, about'],
      rows: narrowed.map((way) => [[read.at(`${way}.piece`)], [read.at(`${way}.yarn`)], read.range(`${way}.now_m`, units.perMetre), read.range(`${way}.then_m`, units.perMetre)])
    });
  }
  return tables;
}

const signed = (share) => `${share < 0 ? '−' : '+'}${fixed(Math.abs(100 * share), 1)} %`;
const spreads = (read, way) => read.one(way, (many) => `${many < 0 ? '−' : '+'}${fixed(Math.abs(many), 1)}`);

function calibrate(read) {
  const inside = (way, side) => [...read.one(`${way}.${side}.inside`), ' of ', ...read.one(`${way}.amounts`)];
  const tables = [
    {
      caption: 'Each swatch left out and foretold from the others; half of the amounts are nearer than what is typical',
      heads: ['work', 'amounts', 'typically off, at the start', 'now', 'inside the range, at the start', 'now'],
      rows: read.count('left_out').map((way) => [[read.at(`${way}.work`) || 'all'], read.one(`${way}.amounts`), read.one(`${way}.start.typically_off`, percent), read.one(`${way}.now.typically_off`, percent), inside(way, 'start'), inside(way, 'now')])
    }
  ];
  const kept = read.count('kept_estimates');
  if (kept.length > 0) {
    tables.push({
      caption: 'Kept estimates against what was used',
      heads: ['piece', 'kept', 'yarn', `${read.units.mass}, 9 times in 10`, 'used'],
      rows: kept.map((way) => [[read.at(`${way}.piece`)], [read.at(`${way}.frozen`)], [read.at(`${way}.yarn`)], read.range(`${way}.mass_g`, read.units.perGram), read.mass(`${way}.used_g`, halfOf(read.at(`${way}.mass_g`)))])
    });
  }
  return tables.filter((table) => table.rows.length > 0);
}

/** What of her ways the swatches tell, each with what it rests on: { name, meaning, cells, rests }. */
export function waysOf(report, units) {
  const kLeastShown = 0.05;
  const read = new Reader(report, units);
  const told = (way) => {
    const isAdded = read.at(`${way.slice(0, way.lastIndexOf('.'))}.scale`) === 'added';
    const end = (key) => read.one(`${way}.${key}`, isAdded ? signed : (ratio) => fixed(ratio, 2));
    return [isAdded ? '' : '× ', ...end('mid'), ' (', ...end('low'), ' to ', ...end('high'), ')'];
  };
  return read.count('coefficients').filter((way) => read.at(`${way}.settled`) >= kLeastShown).map((way) => {
    const { name, meaning } = read.at(way);
    return { name, meaning, cells: [told(`${way}.start`), told(`${way}.now`), read.one(`${way}.settled`, percent)], rests: restsOf(read, way, name) };
  });
}

/** Rows of words and figures: which swatch moves one of her ways, what it is not told apart from, what would settle it. */
function restsOf(read, way, name) {
  const of = (list, isIts) => read.count(list).filter((one) => isIts(read.at(one)));
  const settledBy = read.at(`${way}.settle_by`);
  return [
    ...of('influences', (one) => one.coefficient === name).map((one) => [[`${read.at(one).piece} alone moves it`], [...spreads(read, `${one}.spreads`), ' of its spreads']]),
    ...of('conflicts', (one) => one.coefficient === name).map((one) => [['Far from where it began: look up what was measured'], [...spreads(read, `${one}.starting_spreads`), ' starting spreads']]),
    ...of('not_told_apart', (one) => one.first === name || one.second === name).map((one) => [[read.at(one).text], ['correlation ', ...read.one(`${one}.correlation`, (share) => fixed(share, 2).replace('-', '−'))]]),
    ...(settledBy ? [[[`What would settle it: ${settledBy}.`], ['']]] : [])
  ];
}

/** What was measured and what was foretold for it, at the start and now. */
export function foretoldTable(report, units) {
  const read = new Reader(report, units);
  return {
    caption: 'Measured and foretold, 9 times in 10',
    heads: ['swatch', 'work', 'yarn', 'measured', 'foretold by the starting values', 'foretold with your swatches'],
    rows: read.count('predictions').map((way) => {
      const one = read.at(way);
      const isMass = one.unit === 'g';
      const factor = isMass ? units.perGram : units.perMetre;
      const unit = ` ${isMass ? units.mass : units.yarn}`;
      return [[one.swatch], [one.work], [one.yarn], [...read.one(`${way}.measured`, (value) => plain(value * factor)), unit], [...read.range(`${way}.start`, factor), unit], [...read.range(`${way}.now`, factor), unit]];
    })
  };
}

function estimate(read) {
  const { units } = read;
  const bands = read.count('bands').filter((way) => read.at(`${way}.band`) > 0);
  const tables = [{
    caption: 'Band by band, from the bottom up',
    heads: ['band', 'work', 'yarn', 'rows', units.length, `${units.yarn}, 9 times in 10`],
    rows: bands.map((way) => {
      const one = read.at(way);
      return [read.one(`${way}.band`), [one.work], [one.yarn ?? '–'], one.yarn === null ? ['–'] : one.turns > 0 ? [...read.one(`${way}.turns`), ' turns'] : read.one(`${way}.rows`), read.size(`${way}.height_cm`), one.yarn === null ? ['–'] : one.comes_out ? ['comes out again'] : read.range(`${way}.length_m`, units.perMetre)];
    })
  }];
  const cuts = read.count('cuts');
  if (cuts.length > 0) {
    tables.push({
      caption: 'To cut, or to leave hanging',
      heads: ['yarn', 'for', 'pieces', `each, ${units.length}`],
      rows: cuts.map((way) => [[read.at(`${way}.yarn`)], [read.at(`${way}.leave`) ? `hemstitch, left hanging ${read.at(`${way}.leave`)} band ${read.at(`${way}.beside_band`)}` : read.at(`${way}.what`)], read.one(`${way}.count`), read.size(`${way}.length_cm`)])
    });
  }
  return tables;
}

/** How sure each yarn of a piece is, to be drawn: shares of its middle figure, and the figures themselves. */
export function surenessOf(piece, units) {
  const read = new Reader(piece, units);
  return read.count('yarns').filter((way) => read.at(`${way}.length_m.mid`) > 0).map((way) => {
    const { yarn, length_m, mass_g, on_shelf_g } = read.at(way);
    const [mid, , low, , high] = read.range(`${way}.length_m`, units.perMetre);
    return {
      yarn, mid, low, high,
      shares: { low: length_m.low / length_m.mid, high: length_m.high / length_m.mid, shelf: typeof on_shelf_g === 'number' && mass_g.mid > 0 ? on_shelf_g / mass_g.mid : null },
      shelf: read.massInSteps(`${way}.on_shelf_g`)[0],
      setAside: read.lengthUp(`${way}.set_aside_m`, halfOf(length_m))
    };
  });
}

/** The cells of each yarn of an estimated piece. */
export function needCells(piece, units) {
  const read = new Reader(piece, units);
  return read.count('yarns').map((way) => {
    const need = read.at(way);
    const [halfM, halfG] = [halfOf(need.length_m), halfOf(need.mass_g)];
    return {
      yarn: need.yarn,
      cells: [read.range(`${way}.length_m`, units.perMetre), read.range(`${way}.mass_g`, units.perGram), [...read.lengthUp(`${way}.set_aside_m`, halfM), ', ', ...read.massUp(`${way}.set_aside_g`, halfG)], read.one(`${way}.put_ups`), read.mass(`${way}.left_over_g`, halfG), read.massInSteps(`${way}.on_shelf_g`), need.on_shelf_g === null ? ['–'] : read.one(`${way}.chance_short`, oneIn)]
    };
  });
}

const kLayouts = { howfar, enough, swap, kit, price, buy, 'weave-next': weaveNext, calibrate, estimate };

/** @param more `top` and `isNamed` of a swap. @returns tables of { caption, heads, rows, sumAt } */
export function tablesOf(verb, json, units, more = {}) {
  return kLayouts[verb] ? kLayouts[verb](Object.assign(new Reader(json, units), more)) : [];
}

/** Text as a verb prints it: sentences, lists under a heading, and tables, which are left out here. */
export function wordsOf(printed) {
  const sentences = [];
  const lists = [];
  let list = null;
  for (const line of printed.replace(/\n+$/, '').split('\n')) {
    const isIn = line.startsWith('  ');
    if (line === '') list = null;
    else if (!isIn) {
      sentences.push(line);
      list = { head: line, lines: [] };
    } else if (list) {
      if (list.lines.length === 0) {
        sentences.pop();
        lists.push(list);
      }
      list.lines.push(line.trim().replace(/^\[ \] /, ''));
    }
  }
  return { sentences, lists };
}
