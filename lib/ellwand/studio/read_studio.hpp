#pragma once
/// The studio's own files, each from its text, and all of them from their folder.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// What yarns.csv holds.
struct YarnTable {
  std::map<std::string, yarn::Yarn> yarns;       ///< by id
  std::map<std::string, decide::Money> prices;   ///< by id: of one put-up, or as priced_by
  std::map<std::string, yarn::PutUp> priced_by;  ///< by id, where there is no put-up
  std::map<std::string, std::vector<decide::PutUpSize>> sizes;  ///< by id, where there are several
  std::map<std::string, std::string> uses;                      ///< by id
  std::vector<Complaint> warnings;
};

/// The columns of yarns.csv.
const std::vector<std::string>& yarn_columns();

/// Columns: id (letters, digits, hyphens; each once), fibre and count are needed in every row;
/// label, kind (singles, plied, woollen, roving), ply, put_up ("50 g", "250 m", or every size it is
/// sold in, "50 g or 200 g"), price (of one put-up, of each size "4.20 or 14.00", or by an amount,
/// "9.00 per 100 g"), use, made (mill, hand-dyed, handspun), diameter_mm, wraps ("13 /cm") with
/// wraps_convention (touching, thread apart), lies_flat (width over thickness), knots_per_100_m
/// (found in put-ups) may be empty or missing. Ply and kind follow from the count where it tells
/// them, and else are one and singles.
///
/// @param packing  tells whether a measured diameter contradicts the count (a warning)
/// @throws BadInput with every complaint
YarnTable read_yarns(const std::string& text, const std::string& file,
                     const yarn::Packing& packing);

/// A price as it is written: of a put-up, or by an amount.
struct WrittenPrice {
  decide::Money money;
  std::optional<yarn::PutUp> per;  ///< "per 100 g", "per kg"
};
/// @throws UnreadableText
WrittenPrice read_price(const std::string& text, DecimalMark mark = DecimalMark::Point);

/// What lots.csv holds.
struct LotTable {
  std::vector<Lot> lots;  ///< in the order of the file
  std::vector<Complaint> warnings;
};

/// The columns of lots.csv.
const std::vector<std::string>& lot_columns();

/// A column that holds how much there is of a lot.
struct AmountColumn {
  const char* column;
  const char* unit;
  double size;  ///< of the unit, in g or m
};
/// net_g and net_oz, net_m and net_yd: a lot keeps one of the two.
const std::vector<AmountColumn>& lot_mass_columns();
const std::vector<AmountColumn>& lot_length_columns();

/// Columns: yarn (an id of `yarns`) and one of net_g, net_oz, net_m and net_yd in every row, or one
/// of the first two and one of the last two; lot, bought (2026-03-14), opened (yes, no) and
/// longest_left_m or longest_left_yd may be empty or missing.
///
/// @throws BadInput with every complaint
LotTable read_lots(const std::string& text, const std::string& file,
                   const std::map<std::string, yarn::Yarn>& yarns);

/// What studio.toml holds: [studio] name, currency; [show] length, yarn, mass; [habits]; [[weaver]]
/// name, skill; [[loom]]; [price] (read_price_policy.hpp).
/// The table [kit] is left alone.
///
/// @param starting  tells which habits are far from what is usual (a warning); may be null
/// @throws BadInput with every complaint
Studio read_studio(const std::string& text, const std::string& file,
                   const estimate::StartingValues* starting = nullptr);

/// The texts of a studio's files, where they do not come from a disk.
struct StudioTexts {
  std::string folder;  ///< as the user named it; complaints begin with it
  std::string studio_toml;
  std::optional<std::string> yarns_csv;  ///< absent: no yarns, with a warning
  std::optional<std::string> lots_csv;   ///< absent: nothing on the shelf
};

/// @throws BadInput with every complaint of every file
Studio studio_from(const StudioTexts& texts, const estimate::StartingValues& starting);

/// Reads studio.toml, yarns.csv and lots.csv of a folder, once what a killed program left half
/// done there is finished (changes.hpp).
/// @throws BadInput with every complaint of every file
Studio open_studio(const std::filesystem::path& folder, const estimate::StartingValues& starting);

/// The studio a piece file belongs to: the nearest folder above it that has a studio.toml (for a
/// piece in "pieces", as a rule the folder around that).
///
/// @throws BadInput when there is none
std::filesystem::path find_studio_of(const std::filesystem::path& piece);

}  // namespace ellwand::studio
