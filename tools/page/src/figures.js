// Figures as a weaver reads them: in her units, and no more digits than the range supports; the program's rules.

const kPerMetre = { m: 1, yd: 1 / 0.9144 };
const kPerGram = { g: 1, oz: 1 / 28.349523125 };
const kPerCm = { cm: 1, in: 1 / 2.54 };
const kSlack = 1e-6; // of a place: what is this near to a whole number of places is that number
const kSureWithin = 1e-6; // a range no wider than this share of its middle is none

const kFinest = 1e-3; // digits further out tell nobody anything
const kTwoDigitsBelow = 3.55; // places of a doubt

const atLeast = (value, doubt) => Math.max(doubt, Math.abs(value) * 1e-3, kFinest);

/** The last place that a step leaves: a power of ten not above it, and whole units up to fifty of them. */
function placeOfStep(value, step) {
  const least = atLeast(value, step);
  if (least < 10) return 10 ** Math.floor(Math.log10(least));
  return least < 50 ? 1 : 10 ** Math.floor(Math.log10(least / 5));
}

/** The last place that half the width of a range leaves: that of such a step, or one finer where the value would have one digit and the doubt begins with less than 3.55. */
export function lastPlace(value, doubt) {
  const place = placeOfStep(value, doubt);
  const hasOneDigit = value !== 0 && Math.abs(value) < 10 * place;
  const bearsTwo = atLeast(value, doubt) < kTwoDigitsBelow * place;
  return hasOneDigit && bearsTwo ? Math.max(0.1 * place, kFinest) : place;
}

function inPlaces(value, place) {
  const text = value.toFixed(Math.max(0, -Math.round(Math.log10(place))));
  return /^-0(\.0+)?$/.test(text) ? text.slice(1) : text;
}

const toPlace = (value, place) => inPlaces(Math.sign(value) * Math.round(Math.abs(value) / place) * place, place);

/** A number to its last place: 18.24 with a doubt of 2.2 is "18". */
export const roundedTo = (value, doubt) => toPlace(value, lastPlace(value, doubt));

/** A number told in steps: 2.68 in steps of one is "3". */
export const inSteps = (value, step) => toPlace(value, placeOfStep(value, step));

const upTo = (value, place) => inPlaces(Math.ceil(value / place - kSlack) * place, place);

/** The same, up: for what has to be enough. */
export const roundedUpTo = (value, doubt) => upTo(value, lastPlace(value, doubt));
export const inStepsUp = (value, step) => upTo(value, placeOfStep(value, step));

/** The texts of a range, its ends outwards; of what is sure, its middle alone. */
export function ranged(range, factor = 1) {
  const [mid, low, high] = [range.mid * factor, range.low * factor, range.high * factor];
  if (high - low <= kSureWithin * Math.abs(mid)) return { mid: roundedTo(mid, 1e-2 * Math.abs(mid)) };
  const place = lastPlace(mid, 0.5 * (high - low));
  return {
    mid: toPlace(mid, place),
    low: inPlaces(Math.floor(low / place + kSlack) * place, place),
    high: inPlaces(Math.ceil(high / place - kSlack) * place, place)
  };
}

export const halfOf = (range) => 0.5 * (range.high - range.low);

/** Factors and names of the units that studio.toml shows. */
export function unitsOf(settings) {
  const show = settings.show ?? {};
  const [yarn, mass, length] = [show.yarn ?? 'm', show.mass ?? 'g', show.length ?? 'cm'];
  return { yarn, mass, length, perMetre: kPerMetre[yarn] ?? 1, perGram: kPerGram[mass] ?? 1, perCm: kPerCm[length] ?? 1 };
}

/** A chance in words: "under 1 in 1000", "1 in 3", "62 in 100". */
export function oneIn(chance) {
  if (chance < 0.001) return 'under 1 in 1000';
  if (chance > 0.995) return 'all but certain';
  if (chance > 0.5) return `${Math.round(chance * 100)} in 100`;
  const of = 1 / chance;
  const place = of < 100 ? 1 : 10 ** (Math.floor(Math.log10(of)) - 1);
  return `1 in ${Math.round(of / place) * place}`;
}

export function chanceInPercent(chance) {
  if (chance < 0.005) return 'under 1 %';
  return chance > 0.995 ? 'over 99 %' : percent(chance);
}

export const fixed = (value, decimals = 1) => Number(value).toFixed(decimals);

export const percent = (share) => `${Math.round(share * 100)} %`;

export function hours(minutes) {
  const whole = Math.round(minutes);
  return whole < 60 ? `${whole} min` : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
}
