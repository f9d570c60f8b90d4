#include "ellwand/studio/read_studio.hpp"

#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/document.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/findings.hpp"
#include "ellwand/studio/read_buy_policy.hpp"
#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_kit_policy.hpp"
#include "ellwand/studio/read_price_policy.hpp"
#include "ellwand/studio/read_swap_policy.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <functional>
#include <system_error>
#include <utility>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {
void read_name(Section& file, Studio& studio) {
  auto section = file.table("studio", "[studio]");
  if (!section) return;
  studio.name = section->text("name").value_or("");
  studio.currency = decide::currency_of(section->text("currency").value_or(""));
  if (!studio.currency.code.empty() && !studio.currency.is_listed) {
    section->warn("currency", in_quotes(studio.currency.code) +
                                  " is no code of ISO 4217, such as EUR; prices are rounded to two "
                                  "digits after the mark");
  }
  section->warn_of_unknown_keys();
}

Shown read_shown(Section& file) {
  Shown shown;
  auto section = file.table("show", "[show]");
  if (!section) return shown;
  if (const auto length = section->choice("length", {"cm", "in"})) {
    shown.length = static_cast<LengthShown>(*length);
  }
  if (const auto yarn = section->choice("yarn", {"m", "yd"})) {
    shown.yarn = static_cast<YarnShown>(*yarn);
  }
  if (const auto mass = section->choice("mass", {"g", "oz"})) {
    shown.mass = static_cast<MassShown>(*mass);
  }
  section->warn_of_unknown_keys();
  return shown;
}

void read_studio_habits(Section& file, const estimate::StartingValues* starting, Studio& studio) {
  auto section = file.table("habits", "[habits]");
  if (!section) return;
  studio.habits = read_habits(*section);
  if (starting != nullptr) ask_about_habits(*section, studio.habits, *starting, studio.shown);
  studio.weaver = read_weaver(*section, studio.weavers).value_or(Weaver{});
  section->warn_of_unknown_keys();
}

void read_weavers(Section& file, Studio& studio) {
  for (Section& section : file.tables("weaver", "[[weaver]]")) {
    section.require("name", "the name pieces and swatches call her by, such as name = \"Wren\"");
    const std::string name = section.text("name").value_or("");
    const bool beginner = section.choice("skill", {"experienced", "beginner"}) == std::size_t{1};
    section.warn_of_unknown_keys();
    if (find_weaver(name, studio.weavers)) {
      section.complain("name", in_quotes(name) + " is taken already; call her something else");
    } else if (name.empty() && section.has("name")) {
      section.complain("name", "is empty; write what pieces and swatches call her");
    } else {
      studio.weavers.push_back({name, beginner});
    }
  }
}

void read_looms(Section& file, Studio& studio) {
  for (Section& section : file.tables("loom", "[[loom]]")) {
    section.require("name", "the name pieces use it by, such as name = \"small frame\"");
    section.require("kind", "kind = \"notched\", \"frame\" or \"beam\"");
    const std::string name = section.text("name").value_or("");
    const bool is_new = studio.looms.emplace(name, read_loom(section, {}).loom).second;
    if (!is_new) {
      section.complain("name",
                       in_quotes(name) + " is the name of a loom above; rename one of them");
    }
    section.warn_of_unknown_keys();
  }
}

/// Runs one reader; what it complains of joins the rest.
void gather(std::vector<Complaint>& complaints, const std::function<void()>& read) {
  try {
    read();
  } catch (const BadInput& bad) {
    append(complaints, bad.complaints());
  }
}

std::string in_folder(const std::string& folder, const char* file) {
  return (fs::path(folder) / file).string();
}

void take_yarns(const StudioTexts& texts, const yarn::Packing& packing, Studio& studio) {
  const std::string file = in_folder(texts.folder, "yarns.csv");
  if (!texts.yarns_csv) {
    studio.warnings.push_back(
        {file, 0, 0, "there is no such file, so the studio has no yarns yet"});
    return;
  }
  YarnTable table = read_yarns(*texts.yarns_csv, file, packing);
  studio.yarns = std::move(table.yarns);
  studio.prices = std::move(table.prices);
  studio.priced_by = std::move(table.priced_by);
  studio.sizes = std::move(table.sizes);
  studio.uses = std::move(table.uses);
  append(studio.warnings, table.warnings);
}

void take_lots(const StudioTexts& texts, Studio& studio) {
  if (!texts.lots_csv) return;
  if (!texts.yarns_csv) {
    throw BadInput({{in_folder(texts.folder, "yarns.csv"), 0, 0,
                     "there is no such file, and lots.csv needs its yarns; put it back, or write "
                     "a row for each yarn"}});
  }
  LotTable table = read_lots(*texts.lots_csv, in_folder(texts.folder, "lots.csv"), studio.yarns);
  studio.lots = std::move(table.lots);
  append(studio.warnings, table.warnings);
}
}  // namespace

Studio read_studio(const std::string& text, const std::string& file,
                   const estimate::StartingValues* starting) {
  const Value document = read_toml(text, file);
  Findings findings(file);
  Section section(document, "this file", findings);
  Studio studio;
  read_name(section, studio);
  studio.shown = read_shown(section);
  read_weavers(section, studio);
  read_studio_habits(section, starting, studio);
  read_looms(section, studio);
  studio.price = read_price_policy(section, studio.currency);
  studio.swap = read_swap_policy(section);
  studio.kit = read_kit_policy(section);
  studio.buy = read_buy_policy(section);
  section.warn_of_unknown_keys();
  findings.stop_if_any();
  studio.warnings = findings.warnings();
  return studio;
}

Studio studio_from(const StudioTexts& texts, const estimate::StartingValues& starting) {
  std::vector<Complaint> complaints;
  Studio studio;
  gather(complaints, [&] {
    studio = read_studio(texts.studio_toml, in_folder(texts.folder, "studio.toml"), &starting);
  });
  studio.folder = texts.folder;
  const std::size_t before_yarns = complaints.size();
  gather(complaints, [&] { take_yarns(texts, starting.packing(), studio); });
  // Lots of yarns that could not be read would only be complained of twice.
  if (complaints.size() == before_yarns) gather(complaints, [&] { take_lots(texts, studio); });
  if (!complaints.empty()) throw BadInput(listed(std::move(complaints)));
  return studio;
}

Studio open_studio(const fs::path& folder, const estimate::StartingValues& starting) {
  if (are_changes_left(folder)) const WriteTurn finishes(folder);
  StudioTexts texts;
  texts.folder = folder.string();
  texts.studio_toml = read_file(folder / "studio.toml");
  texts.yarns_csv = text_if_there(folder / "yarns.csv");
  texts.lots_csv = text_if_there(folder / "lots.csv");
  return studio_from(texts, starting);
}

namespace {

/// A folder as the user named it; "." when that is the one she works in.
fs::path named_folder(const fs::path& named, const fs::path& piece, const fs::path& folder) {
  if (!named.empty()) return named;
  std::error_code unseen;
  const bool works_there = piece.is_relative() && fs::equivalent(folder, ".", unseen);
  return works_there ? fs::path(".") : folder;
}

}  // namespace

fs::path find_studio_of(const fs::path& piece) {
  std::error_code unseen;
  const fs::path start = fs::absolute(piece, unseen).lexically_normal().parent_path();
  // Folders are named from the piece as the user did, as far up as that name reaches.
  fs::path named = piece.lexically_normal().parent_path();
  for (fs::path folder = start; !folder.empty(); folder = folder.parent_path()) {
    if (fs::exists(folder / "studio.toml", unseen)) return named_folder(named, piece, folder);
    if (folder == folder.parent_path()) break;
    named = named.parent_path();
  }
  throw BadInput({{piece.string(), 0, 0,
                   "no folder above this piece has a studio.toml; keep pieces in the folder "
                   "'pieces' of a studio"}});
}

}  // namespace ellwand::studio
