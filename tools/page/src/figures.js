// Figures as a weaver reads them: in her units, with the digits their range supports.

const kPerMetre = { m: 1, yd: 1 / 0.9144 };
const kPerGram = { g: 1, oz: 1 / 28.349523125 };
const kPerCm = { cm: 1, in: 1 / 2.54 };

/** How many decimals a range of this width supports. */
export function decimalsFor(width, most = 2) {
  if (!(width > 0)) return most;
  return Math.min(most, Math.max(0, Math.ceil(-Math.log10(width / 3.9))));
}

function outward(value, decimals, up) {
  const scale = 10 ** decimals;
  const kHair = 1e-9;
  return (up ? Math.ceil(value * scale - kHair) : Math.floor(value * scale + kHair)) / scale;
}

/** "18 (16 to 20)"; the ends are rounded outwards. */
export function ranged(range, factor = 1) {
  const [mid, low, high] = [range.mid * factor, range.low * factor, range.high * factor];
  const decimals = decimalsFor(high - low);
  return {
    mid: mid.toFixed(decimals),
    low: outward(low, decimals, false).toFixed(decimals),
    high: outward(high, decimals, true).toFixed(decimals)
  };
}

/** An amount to have: rounded up to the digits of its range. */
export function enough(value, range, factor = 1) {
  const decimals = decimalsFor((range.high - range.low) * factor);
  return outward(value * factor, decimals, true).toFixed(decimals);
}

/** Factors and names of the units that studio.toml shows. */
export function unitsOf(settings) {
  const show = settings.show ?? {};
  const [yarn, mass, length] = [show.yarn ?? 'm', show.mass ?? 'g', show.length ?? 'cm'];
  return { yarn, mass, length, perMetre: kPerMetre[yarn] ?? 1, perGram: kPerGram[mass] ?? 1, perCm: kPerCm[length] ?? 1 };
}

/** A chance in words: "under 1 in 1000", "1 in 3", "more likely than not". */
export function chance(share) {
  if (share === null || share === undefined) return '';
  if (share < 0.001) return 'under 1 in 1000';
  if (share > 0.999) return 'all but sure';
  if (share > 0.5) return `${Math.round(share * 100)} in 100`;
  return `1 in ${Math.round(1 / share)}`;
}

export const fixed = (value, decimals = 1) => (value === null || value === undefined ? '' : Number(value).toFixed(decimals));

export const percent = (share) => `${Math.round(share * 100)} %`;
