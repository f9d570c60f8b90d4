// ellwand bring-in: rows of an old spreadsheet, shown first and written when she says so.

#include "data_folder.hpp"
#include "option_values.hpp"
#include "show.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/bring_in.hpp"
#include "ellwand/studio/bring_in_json.hpp"
#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <optional>
#include <ostream>

namespace ellwand::tools {

namespace {

using studio::BroughtIn;
using studio::BroughtInto;

const std::vector<std::string> kTables = {"yarns", "lots", "swatches", "minutes"};
constexpr BroughtInto kInto[] = {BroughtInto::Yarns, BroughtInto::Lots, BroughtInto::Swatches,
                                 BroughtInto::Minutes};

BroughtInto table_of(const std::string& word) {
  const auto found = std::find(kTables.begin(), kTables.end(), word);
  if (found != kTables.end()) return kInto[found - kTables.begin()];
  throw WrongUsage(fmt::format("'{}' cannot be brought in{} Yarns, lots, swatches and minutes can.",
                               word, did_you_mean(word, kTables)));
}

std::vector<studio::ColumnNaming> naming_of(const Given& given) {
  const std::vector<std::string> words = split_at_commas(given.value("columns"));
  if (words.empty()) {
    throw WrongUsage(
        "--columns says which of your columns is which, as in: --columns 'label = Name, fibre = "
        "Fibre, count = Count, put_up = Ball [g]'");
  }
  std::vector<studio::ColumnNaming> naming;
  for (const std::string& word : words) {
    try {
      naming.push_back(studio::read_column_naming(word));
    } catch (const UnreadableText& unreadable) {
      throw WrongUsage(fmt::format("--columns: {}", unreadable.what()));
    }
  }
  return naming;
}

void print_rows(const BroughtIn& brought, std::ostream& out) {
  std::vector<std::size_t> all(brought.columns.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  TextTable table(brought.columns, all);
  for (const auto& row : brought.rows) table.add(row);
  table.print(out);
}

std::string in_words(std::size_t rows) {
  return rows == 1 ? "1 row" : fmt::format("{} rows", rows);
}

void print_brought_in(const BroughtIn& brought, const std::string& from, bool is_written,
                      std::ostream& out) {
  out << fmt::format("{} of {} {} {}.\n\n", in_words(brought.rows.size()), from,
                     is_written ? "brought into" : "would go into", brought.file.string());
  print_rows(brought, out);
  if (brought.left_out.empty()) return;
  std::string names;
  for (const std::string& heading : brought.left_out) {
    names += (names.empty() ? "" : ", ") + heading;
  }
  out << "\nLeft out: " << names << ".\n";
}

int run_bring_in(const Given& given, const Streams& streams) {
  if (given.words().size() != 3) {
    throw WrongUsage(
        "bring-in takes a studio, what is brought and a file, as in: ellwand bring-in my-studio "
        "yarns old.csv --columns 'label = Name, fibre = Fibre, count = Count'");
  }
  const BroughtInto table = table_of(given.words()[1]);
  const std::vector<studio::ColumnNaming> naming = naming_of(given);
  const estimate::StartingValues starting =
      studio::open_starting_values(data_folder() / "starting-values.csv");
  const studio::Studio studio = studio::open_studio(studio_folder(given.words().front()), starting);
  std::optional<studio::WriteTurn> turn;
  if (given.has("write")) turn.emplace(studio.folder);
  const std::string& file = given.words()[2];
  const BroughtIn brought = studio::brought_in(
      table, studio::Table::read(studio::read_file(file), file), naming, studio, starting);
  const bool is_written = given.has("write");
  if (turn) studio::write_changes(studio.folder, {{brought.file, brought.was, brought.text}});
  if (given.has("json")) {
    streams.results << studio::brought_in_json(brought, is_written);
  } else {
    print_brought_in(brought, file, is_written, streams.results);
  }
  for (const Complaint& warning : brought.warnings) streams.talk << warning.told() << '\n';
  if (!is_written) streams.talk << "Nothing is written yet; the same with --write writes it.\n";
  return kDone;
}

}  // namespace

Verb bring_in_verb() {
  return {
      "bring-in",
      "takes in an old spreadsheet, its columns named by you",
      "STUDIO yarns|lots|swatches|minutes FILE --columns NAMES [options]",
      {"ellwand bring-in my-studio yarns old.csv --columns 'label = Name, fibre = Fibre, count = "
       "Count, put_up = Ball [g]'",
       "ellwand bring-in my-studio lots shelf.csv --columns 'yarn = Yarn, net_g = Grams' --write"},
      {{"columns", "NAMES",
        "ours = yours, with commas between; [unit] behind bare numbers; \"text\" in every row"},
       {"write", "", "write it; otherwise it is only checked and shown"},
       {"json", "", "for other programs"},
       {"help", "", "this text", 'h'}},
      "Save the spreadsheet as CSV first. Yarns without an id get one from their label.\n",
      run_bring_in};
}

}  // namespace ellwand::tools
