/// Runs every tests/cases/*.case through the program and holds its answer against the arithmetic
/// written in the case. tests/cases/README.md says how a case is written.

#include "support/where.hpp"

#include <gtest/gtest.h>

#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <locale>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace ellwand {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;
using Problems = std::vector<std::string>;

// ---------------------------------------------------------------- reading a case

/// The section, and the file, of what nobody has said or measured yet.
constexpr const char* kStartingValues = "starting-values.csv";

/// One number that a case expects at one place of the answer.
struct Expectation {
  std::string path;
  double value = 0.0;
  double tolerance = 0.0;
  int line = 0;
};

struct Case {
  std::string title;
  std::string source;
  std::string command;  ///< what the program is given in the studio's folder; empty to estimate
  std::map<std::string, std::string> sections;
  std::vector<Expectation> numbers;
  std::vector<std::string> refusals;  ///< sentences of a refused piece contain these
  std::vector<std::string> warnings;  ///< some warning contains this
  Problems problems;                  ///< what is wrong with the case itself
};

std::string trimmed(const std::string& text) {
  const char* kBlank = " \t\r";
  const auto first = text.find_first_not_of(kBlank);
  if (first == std::string::npos) return "";
  return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

/// What follows `key` at the start of a line; false when the line begins otherwise.
bool follows(const std::string& key, const std::string& line, std::string& rest) {
  if (line.rfind(key, 0) != 0) return false;
  rest = trimmed(line.substr(key.size()));
  return true;
}

bool read_number(const std::string& text, double& value) {
  if (text.empty() || text.find_first_not_of("+-.0123456789") != std::string::npos) return false;
  std::istringstream in(text);
  in.imbue(std::locale::classic());
  return (in >> value) && in.peek() == std::istringstream::traits_type::eof();
}

/// Half a unit of the last digit as written: 0.0005 for "11.302", 0.5 for "45".
double half_a_last_digit(const std::string& number) {
  const auto point = number.find('.');
  const auto decimals = point == std::string::npos ? 0 : number.size() - point - 1;
  return 0.5 * std::pow(10.0, -static_cast<double>(decimals));
}

/// "yarns.weft.plan_m = 11.302 +- 0.002  # why", the tolerance and the reason optional.
bool read_expectation(const std::string& line, Expectation& expected) {
  const std::string stated = line.substr(0, line.find('#'));
  const auto equals = stated.find('=');
  if (equals == std::string::npos) return false;
  expected.path = trimmed(stated.substr(0, equals));
  std::string number = trimmed(stated.substr(equals + 1));
  const auto give = number.find("+-");
  std::string tolerance;
  if (give != std::string::npos) {
    tolerance = trimmed(number.substr(give + 2));
    number = trimmed(number.substr(0, give));
  }
  if (expected.path.empty() || !read_number(number, expected.value)) return false;
  expected.tolerance = half_a_last_digit(number);
  return give == std::string::npos ||
         (read_number(tolerance, expected.tolerance) && expected.tolerance > 0.0);
}

void read_expect_line(const std::string& raw, int number, Case& read) {
  const std::string line = trimmed(raw);
  std::string rest;
  if (line.empty() || line[0] == '#') return;
  Expectation expected;
  expected.line = number;
  if (follows("text:", line, rest) && !rest.empty()) {
    read.refusals.push_back(rest);
  } else if (follows("warning:", line, rest) && !rest.empty()) {
    read.warnings.push_back(rest);
  } else if (read_expectation(line, expected)) {
    read.numbers.push_back(expected);
  } else {
    read.problems.push_back("line " + std::to_string(number) + ": '" + line +
                            "' is not 'path = number', 'path = number +- tolerance', "
                            "'text: words' or 'warning: words'");
  }
}

void read_head_line(const std::string& raw, int number, Case& read) {
  const std::string line = trimmed(raw);
  if (follows("title:", line, read.title) || follows("source:", line, read.source) ||
      follows("command:", line, read.command))
    return;
  if (!line.empty() && line[0] != '#')
    read.problems.push_back("line " + std::to_string(number) + ": '" + line +
                            "' stands before the first section and is neither title:, source: nor "
                            "command:");
}

void require_whole(Case& read) {
  const auto need = [&](bool there, const std::string& what) {
    if (!there) read.problems.push_back(what);
  };
  need(!read.title.empty(), "no title:");
  need(!read.source.empty(), "no source:");
  for (const char* name : {"yarns.csv", "piece.toml", "arithmetic"})
    need(read.sections.count(name) == 1, std::string("no section === ") + name);
  need(read.command.find_first_of("\\$`;&|<>()*?!#~") == std::string::npos,
       "command: is words and options of one verb, with nothing else that a shell reads");
  need(!read.numbers.empty() || !read.refusals.empty(), "no expect line: the case cannot fail");
  need(read.refusals.empty() || (read.numbers.empty() && read.warnings.empty()),
       "a refused piece (text:) has no numbers and no warnings to expect");
}

/// "pieces/second.toml": a further piece, by letters, digits and hyphens; not the case's own.
bool is_further_piece(const std::string& section) {
  const std::string folder = "pieces/";
  const std::string ending = ".toml";
  if (section.size() <= folder.size() + ending.size() || section.rfind(folder, 0) != 0)
    return false;
  if (section.substr(section.size() - ending.size()) != ending) return false;
  const std::string name =
      section.substr(folder.size(), section.size() - folder.size() - ending.size());
  return name != "case" && std::all_of(name.begin(), name.end(), [](unsigned char c) {
           return std::isalnum(c) != 0 || c == '-';
         });
}

/// Opens a section; complains about a name we do not know, or one that comes twice.
void open_section(const std::string& name, int number, Case& read) {
  const std::vector<std::string> known = {"yarns.csv",     "piece.toml",   "lots.csv",
                                          "studio.toml",   "swatches.csv", "time.csv",
                                          kStartingValues, "arithmetic",   "expect"};
  const bool new_one = read.sections.emplace(name, "").second;
  const bool is_known = std::count(known.begin(), known.end(), name) == 1 || is_further_piece(name);
  if (new_one && is_known) return;
  read.problems.push_back("line " + std::to_string(number) + ": section '" + name +
                          (new_one ? "' is not known" : "' comes twice"));
}

Case read_case(std::istream& in) {
  Case read;
  std::string section;
  std::string line;
  for (int number = 1; std::getline(in, line); ++number) {
    if (follows("===", line, section)) {
      open_section(section, number, read);
    } else if (section.empty()) {
      read_head_line(line, number, read);
    } else if (section == "expect") {
      read_expect_line(line, number, read);
    } else {
      read.sections[section] += line + "\n";
    }
  }
  require_whole(read);
  return read;
}

Case read_case(const std::string& text) {
  std::istringstream in(text);
  return read_case(in);
}

// ---------------------------------------------------------------- finding a place in the answer

std::vector<std::string> split(const std::string& path) {
  std::vector<std::string> steps;
  std::istringstream in(path);
  for (std::string step; std::getline(in, step, '.');) steps.push_back(step);
  return steps;
}

/// The elements of a list that `fit`.
std::vector<const Json*> all_that(const std::function<bool(const Json&)>& fit, const Json& list) {
  std::vector<const Json*> found;
  for (const Json& element : list)
    if (fit(element)) found.push_back(&element);
  return found;
}

/// The one element there is, or nullptr when there is none or more than one.
const Json* only_one(const std::vector<const Json*>& found) {
  return found.size() == 1 ? found.front() : nullptr;
}

bool is_whole(const std::string& text) {
  return !text.empty() && text.size() < 7 && text.find_first_not_of("0123456789") == text.npos;
}

bool has(const Json& object, const char* key, const Json& value) {
  return object.is_object() && object.contains(key) && object[key] == value;
}

/// A line of a band, by its number, its yarn and, where the yarn has several lines in it, the work.
const Json* band_line(const Json& bands, int number, const std::vector<std::string>& steps,
                      std::size_t& at) {
  if (at == steps.size()) return nullptr;
  const std::string& yarn = steps[at++];
  const auto lines = all_that(
      [&](const Json& b) { return has(b, "band", number) && has(b, "yarn", yarn); }, bands);
  if (lines.size() < 2 || at == steps.size()) return only_one(lines);
  const std::string& work = steps[at++];
  return only_one(all_that(
      [&](const Json& b) {
        return has(b, "band", number) && has(b, "yarn", yarn) && has(b, "work", work);
      },
      bands));
}

/// One step into a list: yarns by id, coefficients by name, bands by number and then yarn,
/// everything else by position. Takes from `steps` as many as it used, beginning at `at`.
const Json* into_list(const Json& list, const std::string& name,
                      const std::vector<std::string>& steps, std::size_t& at) {
  const std::string& key = steps[at++];
  if (name == "yarns")
    return only_one(all_that([&](const Json& y) { return has(y, "yarn", key); }, list));
  if (name == "coefficients") {  // "hand", or "take.weave" in two steps
    const auto named = [&](const std::string& word) {
      return only_one(all_that([&](const Json& c) { return has(c, "name", word); }, list));
    };
    if (const Json* one = named(key)) return one;
    return at < steps.size() ? named(key + "." + steps[at++]) : nullptr;
  }
  if (!is_whole(key)) return nullptr;
  const int number = std::stoi(key);
  if (name == "bands") return band_line(list, number, steps, at);
  const auto place = static_cast<std::size_t>(number);
  return place < list.size() ? &list[place] : nullptr;
}

/// What stands at a path of one piece's answer; nullptr when nothing does.
const Json* find(const Json& piece, const std::string& path) {
  const std::vector<std::string> steps = split(path);
  const Json* here = &piece;
  std::string name;
  for (std::size_t at = 0; here != nullptr && at < steps.size();) {
    if (here->is_array()) {
      here = into_list(*here, name, steps, at);
      continue;
    }
    name = steps[at++];
    here = here->is_object() && here->contains(name) ? &(*here)[name] : nullptr;
  }
  return here;
}

// ---------------------------------------------------------------- comparing

std::string told(double value) {
  std::ostringstream out;
  out.precision(9);
  out << value;
  return out.str();
}

void compare(const Json& piece, const Expectation& expected, Problems& problems) {
  const std::string place = "line " + std::to_string(expected.line) + ": " + expected.path;
  const Json* got = find(piece, expected.path);
  if (got == nullptr) {
    problems.push_back(place + ": expected " + told(expected.value) + ", there is no such place");
  } else if (!got->is_number()) {
    problems.push_back(place + ": expected " + told(expected.value) + ", got " + got->dump());
  } else {
    // The hair on top is for decimals that have no exact binary form.
    const double gap = std::abs(got->get<double>() - expected.value);
    if (!(gap <= expected.tolerance + 1e-9))
      problems.push_back(place + ": expected " + told(expected.value) + " +- " +
                         told(expected.tolerance) + ", got " + told(got->get<double>()));
  }
}

void find_warning(const Json& piece, const std::string& words, Problems& problems) {
  const Json* warnings = find(piece, "warnings");
  if (warnings != nullptr)
    for (const Json& warning : *warnings)
      if (warning.dump().find(words) != std::string::npos) return;
  problems.push_back("no warning says '" + words + "'");
}

/// All causes of one yarn, over the bands, m; not a number when one of them is none.
double sum_of_causes(const Json& piece, const Json& yarn) {
  double sum = 0.0;
  const Json bands = piece.value("bands", Json::array());
  for (const Json& band : bands) {
    if (band.value("yarn", Json()) != yarn) continue;
    const Json causes = band.value("causes_m", Json::object());
    for (const Json& cause : causes) sum += cause.is_number() ? cause.get<double>() : std::nan("");
  }
  return sum;
}

/// Holds for every piece, whatever its case expects: causes sum to the plan, ranges are in order.
void check_whole_answer(const Json& piece, Problems& problems) {
  const Json yarns = piece.value("yarns", Json::array());
  for (const Json& yarn : yarns) {
    const std::string id = yarn.value("yarn", "(a yarn without its id)");
    const double plan = yarn.contains("plan_m") && yarn["plan_m"].is_number()
                            ? yarn["plan_m"].get<double>()
                            : std::nan("");
    const double sum = sum_of_causes(piece, yarn.value("yarn", Json()));
    // A millimetre: a dozen causes may each have been rounded to a tenth of one when written.
    if (!(std::abs(sum - plan) <= 1e-3))
      problems.push_back(id + ": causes sum to " + told(sum) + " m, the plan is " + told(plan));
    for (const char* what : {"length_m", "mass_g"}) {
      const Json range = yarn.value(what, Json::object());
      const Json low = range.value("low", Json());
      const Json mid = range.value("mid", Json());
      const Json high = range.value("high", Json());
      if (!low.is_number() || !mid.is_number() || !high.is_number() || !(low > 0.0) ||
          !(low <= mid) || !(mid <= high))
        problems.push_back(id + ": " + what + " is no range: " + range.dump());
    }
  }
}

/// No case is of a figure that can hardly be meant, so that none is asked about.
void check_unasked(const Json& piece, Problems& problems) {
  for (const Json& warning : piece.value("warnings", Json::array())) {
    const std::string code = warning.value("code", "");
    const std::string text = warning.value("text", "");
    if (code == "reading" && text.find('?') != std::string::npos) {
      problems.push_back("asked about: " + warning.dump());
    }
    for (const char* question :
         {"ends_far_apart", "warp_far_too_wide", "rows_far_from_usual", "loops_too_tall",
          "fringe_all_trim", "lent_short", "wrapped_beside_what"}) {
      if (code == question) problems.push_back("asked about: " + warning.dump());
    }
  }
}

/// Everything in which an answer (the program's JSON) differs from what a case expects of it.
Problems differences(const Case& wanted, const Json& answer) {
  Problems problems = wanted.problems;
  if (!wanted.command.empty()) {
    for (const Expectation& expected : wanted.numbers) compare(answer, expected, problems);
    for (const std::string& words : wanted.warnings) find_warning(answer, words, problems);
    return problems;
  }
  const Json* pieces = find(answer, "pieces");
  if (pieces == nullptr || !pieces->is_array() || pieces->size() != 1) {
    problems.push_back("the answer has not exactly one piece");
    return problems;
  }
  for (const Expectation& expected : wanted.numbers) compare((*pieces)[0], expected, problems);
  for (const std::string& words : wanted.warnings) find_warning((*pieces)[0], words, problems);
  check_whole_answer((*pieces)[0], problems);
  check_unasked((*pieces)[0], problems);
  return problems;
}

// ---------------------------------------------------------------- running the program

/// A folder that is gone again at the end of the test.
class FreshFolder {
 public:
  FreshFolder() {
    std::string name = (fs::temp_directory_path() / "ellwand-case-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make " + name);
    path_ = name;
  }
  ~FreshFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  FreshFolder(const FreshFolder&) = delete;
  FreshFolder& operator=(const FreshFolder&) = delete;
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

void write(const fs::path& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary);
  out << text;
  out.close();
  if (!out) throw std::runtime_error("cannot write " + path.string());
}

std::string contents(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// The name a row of a table begins with.
std::string first_cell(const std::string& row) { return row.substr(0, row.find(',')); }

/// The table with these rows in place of its own of the same names, the heading among them.
std::string with_rows(const std::string& rows, const std::string& table) {
  std::map<std::string, std::string> changed;
  std::istringstream in(rows);
  for (std::string row; std::getline(in, row);)
    if (!trimmed(row).empty()) changed[first_cell(row)] = row;
  std::string whole;
  std::istringstream from(table);
  for (std::string row; std::getline(from, row);) {
    const auto other = changed.extract(first_cell(row));
    whole += (other.empty() ? row : other.mapped()) + "\n";
  }
  if (!changed.empty())
    throw std::runtime_error("no starting value is named '" + changed.begin()->first + "'");
  return whole;
}

/// Lays the sections out as a studio; the piece is pieces/case.toml, further ones stand beside it.
void lay_out(const Case& wanted, const fs::path& studio) {
  fs::create_directory(studio / "pieces");
  write(studio / "studio.toml", "[studio]\nname = \"Casebook\"\ncurrency = \"EUR\"\n");
  for (const auto& [name, text] : wanted.sections) {
    if (name == "piece.toml") write(studio / "pieces" / "case.toml", text);
    if (name == "piece.toml" || name == "arithmetic" || name == "expect" || name == kStartingValues)
      continue;
    write(studio / name, text);
  }
}

std::string quoted(const fs::path& path) {
  if (path.string().find('\'') != std::string::npos)
    throw std::runtime_error("a quote in " + path.string());
  return "'" + path.string() + "'";
}

/// What a case begins from other than the program does goes into this folder.
/// @returns what names it to the program, before its command; nothing where the case has none
std::string begin_from(const Case& wanted, const fs::path& data) {
  const auto section = wanted.sections.find(kStartingValues);
  if (section == wanted.sections.end()) return "";
  const std::string own = contents(fs::path(test::source_folder()) / "data" / kStartingValues);
  write(data / kStartingValues, with_rows(section->second, own));
  return "ELLWAND_DATA=" + quoted(data) + " ";
}

struct Outcome {
  int status = -1;  ///< exit status; -1 when the program did not end by itself
  std::string out;
  std::string talk;
};

/// The answer to its command; without one the estimate of its piece.
Outcome answer_to(const Case& wanted) {
  const FreshFolder studio;
  const FreshFolder data;
  const FreshFolder results;
  lay_out(wanted, studio.path());
  const std::string asked = wanted.command.empty() ? "estimate pieces/case.toml" : wanted.command;
  const std::string command =
      "cd " + quoted(studio.path()) + " && " + begin_from(wanted, data.path()) +
      quoted(fs::path(test::program_file())) + " " + asked + " --json >" +
      quoted(results.path() / "out") + " 2>" + quoted(results.path() / "talk") + " </dev/null";
  const int ended = std::system(command.c_str());
  Outcome run;
  if (ended != -1 && WIFEXITED(ended)) run.status = WEXITSTATUS(ended);
  run.out = contents(results.path() / "out");
  run.talk = contents(results.path() / "talk");
  return run;
}

Problems differences(const Case& wanted, const Outcome& run) {
  Problems problems = wanted.problems;
  if (!wanted.refusals.empty()) {
    if (run.status != 3)
      problems.push_back("expected to be refused, status 3; got " + std::to_string(run.status));
    for (const std::string& words : wanted.refusals)
      if (run.talk.find(words) == std::string::npos)
        problems.push_back("expected to be told '" + words + "'; told: " + run.talk);
    if (!run.out.empty()) problems.push_back("refused, and yet answered: " + run.out);
    return problems;
  }
  const Json answer = Json::parse(run.out, nullptr, false);
  if (run.status == 0 && !answer.is_discarded()) return differences(wanted, answer);
  problems.push_back("status " + std::to_string(run.status) + "; told: " + run.talk +
                     (answer.is_discarded() ? "; the answer is not JSON" : ""));
  return problems;
}

std::string listed(const Problems& problems) {
  std::string text;
  for (const std::string& problem : problems) text += "  " + problem + "\n";
  return text;
}

// ---------------------------------------------------------------- the cases

std::vector<fs::path> case_files() {
  std::vector<fs::path> found;
  std::error_code missing;
  for (const auto& entry :
       fs::directory_iterator(fs::path(test::source_folder()) / "tests" / "cases", missing))
    if (entry.path().extension() == ".case") found.push_back(entry.path());
  std::sort(found.begin(), found.end());
  return found;
}

class ByHand : public ::testing::TestWithParam<fs::path> {};

TEST_P(ByHand, TheProgramAgrees) {
  std::ifstream in(GetParam(), std::ios::binary);
  ASSERT_TRUE(in) << GetParam();
  const Case wanted = read_case(in);
  ASSERT_TRUE(wanted.problems.empty()) << GetParam() << "\n" << listed(wanted.problems);
  const Problems problems = differences(wanted, answer_to(wanted));
  EXPECT_TRUE(problems.empty()) << wanted.title << "\n" << listed(problems);
}

std::string name_of(const ::testing::TestParamInfo<fs::path>& info) {
  std::string name = info.param.stem().string();
  std::replace_if(
      name.begin(), name.end(), [](unsigned char c) { return std::isalnum(c) == 0; }, '_');
  return name;
}

INSTANTIATE_TEST_SUITE_P(Case, ByHand, ::testing::ValuesIn(case_files()), name_of);

TEST(CaseFiles, AreFoundWhereTheyLie) { EXPECT_FALSE(case_files().empty()); }

// ---------------------------------------------------------------- the reader can fail

const char* const kHead =
    "title: Two rows\nsource: derived\n=== yarns.csv\nid\n=== piece.toml\n=== arithmetic\n1 + 1\n";

/// A made-up answer of the shape the program gives.
Json an_answer() {
  return Json::parse(R"({"pieces": [{
    "yarns": [{"yarn": "weft", "plan_m": 3.5, "length_m": {"low": 3, "mid": 3.5, "high": 4},
               "mass_g": {"low": 3, "mid": 3.5, "high": 4}}],
    "bands": [{"band": 0, "yarn": "weft", "causes_m": {"waste": 0.5}},
              {"band": 1, "yarn": "weft", "rows": 2,
               "causes_m": {"straight": 3.25, "take": -0.25}}],
    "cuts": [{"count": 45}, {"count": 3}], "size": {"loom": {"width_cm": 13.22}},
    "warnings": [{"code": "flat", "text": "the roving lies flat"}]}]})");
}

Problems against(const std::string& expect_lines, const Json& answer = an_answer()) {
  return differences(read_case(kHead + std::string("=== expect\n") + expect_lines), answer);
}

TEST(CaseReader, FindsYarnsByIdBandsByNumberAndYarnCutsByPosition) {
  const Problems problems = against(
      "yarns.weft.plan_m = 3.5\nbands.1.weft.rows = 2\nbands.0.weft.causes_m.waste = 0.50\n"
      "bands.1.weft.causes_m.take = -0.25\ncuts.1.count = 3\nsize.loom.width_cm = 13.22\n"
      "warning: lies flat\n# a remark\n");
  EXPECT_TRUE(problems.empty()) << listed(problems);
}

TEST(CaseReader, TellsLinesOfOneYarnInOneBandApartByTheirWork) {
  Json answer = an_answer();
  answer["pieces"][0]["bands"] = Json::parse(
      R"([{"band": 0, "yarn": "weft", "work": "warp", "causes_m": {"straight": 3.0}},
          {"band": 0, "yarn": "weft", "work": "waste", "causes_m": {"waste": 0.5}}])");
  const auto against_it = [&](const char* line) { return against(line, answer); };
  EXPECT_TRUE(against_it("bands.0.weft.warp.causes_m.straight = 3.0").empty());
  EXPECT_TRUE(against_it("bands.0.weft.waste.causes_m.waste = 0.50").empty());
  EXPECT_FALSE(against_it("bands.0.weft.causes_m.waste = 0.50").empty());
  EXPECT_FALSE(against_it("bands.0.weft.cord.causes_m.waste = 0.50").empty());
}

TEST(CaseReader, TakesHalfAUnitOfTheLastDigitAsTheTolerance) {
  EXPECT_TRUE(against("size.loom.width_cm = 13.2").empty());    // 0.02 off, 0.05 allowed
  EXPECT_TRUE(against("size.loom.width_cm = 13").empty());      // 0.22 off, 0.5 allowed
  EXPECT_FALSE(against("size.loom.width_cm = 13.21").empty());  // 0.01 off, 0.005 allowed
  EXPECT_FALSE(against("cuts.0.count = 44").empty());
}

TEST(CaseReader, TakesTheToleranceThatIsGiven) {
  EXPECT_TRUE(against("size.loom.width_cm = 13.21 +- 0.02  # read off a ruler").empty());
  EXPECT_FALSE(against("size.loom.width_cm = 13.21 +- 0.002").empty());
}

TEST(CaseReader, RefusesACaseThatCannotFail) {
  EXPECT_FALSE(against("").empty());
  EXPECT_FALSE(against("# nothing but a remark").empty());
  EXPECT_FALSE(against("warning: lies flat").empty());
  EXPECT_FALSE(read_case(std::string(kHead)).problems.empty());
}

TEST(CaseReader, RefusesAMisspeltPlace) {
  for (const char* line :
       {"yarns.weft.plan = 3.5", "yarns.wefft.plan_m = 3.5", "band.1.weft.rows = 2",
        "bands.2.weft.rows = 2", "bands.1.warp.rows = 2", "bands.1.rows = 2", "cuts.2.count = 3",
        "cuts.count = 3", "yarns.weft = 3.5", "yarns = 1", "size.loom.width_cm.mm = 13.22"})
    EXPECT_FALSE(against(line).empty()) << line;
}

TEST(CaseReader, RefusesALineItCannotRead) {
  for (const char* line : {"cuts.0.count", "cuts.0.count = many", "cuts.0.count = 45 cm",
                           "cuts.0.count = 45 +- ", "cuts.0.count = 45 +- 0", "= 45",
                           "text:", "cuts.0.count = nan", "cuts.0.count = 45 +- inf"})
    EXPECT_FALSE(against("cuts.0.count = 45\n" + std::string(line)).empty()) << line;
}

TEST(CaseReader, RefusesAnUnknownSectionAndOneThatComesTwice) {
  const std::string expect = "=== expect\ncuts.0.count = 45\n";
  EXPECT_TRUE(read_case(kHead + expect).problems.empty());
  EXPECT_FALSE(read_case(kHead + std::string("=== lot.csv\n") + expect).problems.empty());
  EXPECT_TRUE(read_case(kHead + std::string("=== pieces/second.toml\n") + expect).problems.empty());
  for (const char* other : {"pieces/case.toml", "pieces/.toml", "pieces/a/b.toml", "second.toml"})
    EXPECT_FALSE(read_case(kHead + ("=== " + std::string(other) + "\n") + expect).problems.empty())
        << other;
  EXPECT_FALSE(read_case(kHead + expect + expect).problems.empty());
}

TEST(StartingValuesOfACase, StandInForTheRowsOfTheirNames) {
  const std::string table = "name,median\ntake.weave,1.05\ntail,90\n";
  EXPECT_EQ(with_rows("name,median\ntake.weave,0.90\n\n", table),
            "name,median\ntake.weave,0.90\ntail,90\n");
  EXPECT_THROW(with_rows("take.weaves,0.90\n", table), std::runtime_error);
}

TEST(CaseReader, MissesAWarningThatWasNotGiven) {
  EXPECT_FALSE(against("cuts.0.count = 45\nwarning: too wide").empty());
}

TEST(CaseReader, MissesCausesThatDoNotSumToThePlan) {
  Json answer = an_answer();
  answer["pieces"][0]["bands"][0]["causes_m"]["waste"] = 0.6;
  EXPECT_FALSE(against("cuts.0.count = 45", answer).empty());
}

TEST(CaseReader, MissesARangeThatIsNone) {
  Json answer = an_answer();
  answer["pieces"][0]["yarns"][0]["mass_g"]["low"] = 3.6;  // above the middle
  EXPECT_FALSE(against("cuts.0.count = 45", answer).empty());
  answer["pieces"][0]["yarns"][0]["mass_g"]["low"] = nullptr;
  EXPECT_FALSE(against("cuts.0.count = 45", answer).empty());
}

TEST(CaseReader, WantsARefusedPieceRefused) {
  const Case refused = read_case(kHead + std::string("=== expect\ntext: 17 mm too long\n"));
  const std::string sentence = "band 2 is 17 mm too long\n";
  EXPECT_TRUE(differences(refused, Outcome{3, "", sentence}).empty());
  EXPECT_FALSE(differences(refused, Outcome{0, "", sentence}).empty());
  EXPECT_FALSE(differences(refused, Outcome{3, "", "it does not fit\n"}).empty());
  EXPECT_FALSE(differences(refused, Outcome{3, an_answer().dump(), sentence}).empty());
}

TEST(CaseReader, LooksForACommandsFiguresFromTheTopOfItsAnswer) {
  const std::string head = std::string("command: price pieces/case.toml\n") + kHead;
  const Json answer = {{"each", {{"price", 242.29}}}, {"yarns", {{{"yarn", "weft"}, {"g", 5}}}}};
  const auto against_it = [&](const std::string& line) {
    return differences(read_case(head + "=== expect\n" + line + "\n"), answer);
  };
  EXPECT_TRUE(against_it("each.price = 242.29").empty());
  EXPECT_TRUE(against_it("yarns.weft.g = 5").empty());
  EXPECT_FALSE(against_it("each.price = 242.28").empty());
  EXPECT_FALSE(against_it("price = 242.29").empty());
}

TEST(CaseReader, RefusesACommandThatIsMoreThanOne) {
  const std::string expect = kHead + std::string("=== expect\na = 1\n");
  EXPECT_TRUE(read_case("command: price pieces/case.toml --pieces 5\n" + expect).problems.empty());
  for (const char* more : {"price; date", "price | date", "price >out", "price $(date)"})
    EXPECT_FALSE(read_case(std::string("command: ") + more + "\n" + expect).problems.empty());
}

TEST(CaseReader, WantsAnAcceptedPieceAnswered) {
  const Case accepted = read_case(kHead + std::string("=== expect\ncuts.0.count = 45\n"));
  EXPECT_TRUE(differences(accepted, Outcome{0, an_answer().dump(), ""}).empty());
  EXPECT_FALSE(differences(accepted, Outcome{3, an_answer().dump(), "no"}).empty());
  EXPECT_FALSE(differences(accepted, Outcome{0, "{", ""}).empty());
  EXPECT_FALSE(differences(accepted, Outcome{0, "{}", ""}).empty());
}

}  // namespace
}  // namespace ellwand
