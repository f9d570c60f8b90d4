// Numbers, quantities, counts, fibres, money and colours as text. The first byte says which reader
// and which decimal mark; the reader takes the whole rest or refuses it with UnreadableText.

#include "checks.hpp"

#include "ellwand/decide/money.hpp"
#include "ellwand/studio/bring_in.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/changed_piece.hpp"
#include "ellwand/units/text.hpp"
#include "ellwand/yarn/colour.hpp"
#include "ellwand/yarn/count.hpp"
#include "ellwand/yarn/fibre.hpp"

#include <algorithm>
#include <array>

namespace ellwand::fuzz {

namespace {

double tex_of(const std::string& text, DecimalMark mark) {
  const yarn::CountReading reading = yarn::read_count(text, mark);
  const double tex = in_tex(reading.linear_density);
  must(tex >= 0.5 && tex <= 200'000.0, "a count beyond its range");
  must(!reading.ply || *reading.ply >= 1, "a ply below 1");
  must(!reading.understood.empty(), "nothing is understood");
  return tex;
}

double share_of(const std::string& text, DecimalMark mark) {
  double all = 0.0;
  for (const yarn::FibreShare& one : yarn::read_fibre_blend(text, mark)) {
    must(one.by_mass > 0.0, "a share of nothing");
    all += one.by_mass;
  }
  must(std::abs(all - 1.0) < 1e-6, "a blend that does not add up");
  return all;
}

void read_words(const std::string& text) {
  const std::string plain = folded(text);
  must(folded(plain) == plain, "folded twice is another text");
  const std::string quoted = in_quotes(text);
  must(std::none_of(quoted.begin(), quoted.end(),
                    [](char c) { return static_cast<unsigned char>(c) < 0x20U; }),
       "a control character in a sentence");
  studio::is_date(text);
  const auto colour = yarn::find_colour(text);
  must(!colour || yarn::hex(*colour).size() == 7, "a colour that is none");
}

/// A sign may stand before the number.
double signed_decimal(const std::string& text, DecimalMark mark) {
  const double value = read_decimal(text, mark, Sign::Allowed);
  must(std::isfinite(value), "a number that is none");
  return std::abs(value);
}

double column_naming(const std::string& text) {
  must(!studio::read_column_naming(text).column.empty(), "a column without a name");
  return 0.0;
}

using Read = double (*)(const std::string& text, DecimalMark mark);

struct Reader {
  const char* what;
  Read read;
};

/// The number of these is READERS in gather.py.
constexpr std::array<Reader, 15> kReaders{{
    {"decimal", [](const std::string& text, DecimalMark mark) { return read_decimal(text, mark); }},
    {"signed decimal", signed_decimal},
    {"leading decimal",
     [](const std::string& text, DecimalMark mark) { return leading_decimal(text, mark).value; }},
    {"length",
     [](const std::string& text, DecimalMark mark) { return in_metres(read_length(text, mark)); }},
    {"mass",
     [](const std::string& text, DecimalMark mark) { return in_grams(read_mass(text, mark)); }},
    {"area", [](const std::string& text,
                DecimalMark mark) { return in_square_centimetres(read_area(text, mark)); }},
    {"density", [](const std::string& text,
                   DecimalMark mark) { return in_per_cm(read_thread_density(text, mark)); }},
    {"fraction",
     [](const std::string& text, DecimalMark mark) { return read_fraction(text, mark); }},
    {"angle",
     [](const std::string& text, DecimalMark mark) { return read_angle_degrees(text, mark); }},
    {"count", tex_of},
    {"fibre", share_of},
    {"money", [](const std::string& text,
                 DecimalMark mark) { return decide::read_money(text, mark).approximately(); }},
    {"naming", [](const std::string& text, DecimalMark) { return column_naming(text); }},
    {"knob",
     [](const std::string& text, DecimalMark) {
       studio::read_knob(text);
       return 0.0;
     }},
    {"words",
     [](const std::string& text, DecimalMark) {
       read_words(text);
       return 0.0;
     }},
}};

/// What is read is an amount, or it is refused.
void try_reading(const Reader& reader, const std::string& text, DecimalMark mark) {
  try {
    must_be_amount(reader.read(text, mark), reader.what);
  } catch (const UnreadableText& unreadable) {
    must(std::string_view(unreadable.what()).size() > 10, "a refusal without a sentence");
  }
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const ellwand::fuzz::Within within(1);
  using namespace ellwand;
  if (size == 0) return 0;
  const fuzz::Reader& reader = fuzz::kReaders[(data[0] & 31U) % fuzz::kReaders.size()];
  const DecimalMark mark = (data[0] & 32U) == 0U ? DecimalMark::Point : DecimalMark::Comma;
  const std::string text(reinterpret_cast<const char*>(data) + 1, size - 1);
  fuzz::try_reading(reader, text, mark);
  return 0;
}
