#pragma once
/// Rows of a table kept elsewhere, taken into one of the studio's, its columns named by the weaver.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"
#include "ellwand/studio/table.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// Which table rows are brought into.
enum class BroughtInto { Yarns, Lots, Swatches, Minutes };

/// What stands in one column of ours: a column of the old table, with a unit put behind bare
/// numbers, or the same text in every row. Where our column is in another unit by its name, what
/// stands there is put into that: "net_g = Ounces [oz]".
struct ColumnNaming {
  std::string column;   ///< ours
  std::string heading;  ///< of the old table; empty where `constant` stands in every row
  std::string unit;     ///< "g" makes "50" to "50 g"; empty: as it is
  std::string constant;
};

/// "put_up = Ball weight [g]", "fibre = Fibre", "kind = \"plied\"".
///
/// @throws UnreadableText where it is none of these
ColumnNaming read_column_naming(const std::string& text);

/// The file as it would be, and what is new in it.
struct BroughtIn {
  std::filesystem::path file;
  std::optional<std::string> was;              ///< its text; nothing where there is no such file
  std::string text;                            ///< of the whole file
  std::vector<std::string> columns;            ///< those brought, as they are called here
  std::vector<std::vector<std::string>> rows;  ///< what is brought, row by row, column by column
  std::vector<std::string> left_out;           ///< headings of the old table that nothing takes
  std::vector<Complaint> warnings;
};

/// The columns that rows can be brought into.
std::vector<std::string> columns_of(BroughtInto table);

/// Rows of an old table as rows of the studio's. Rows that are empty in every named column are
/// passed over; numbers with a decimal comma are read where the old table has semicolons. Yarns
/// without an `id` among the names get one from their label. A measured figure with a unit goes to
/// the column of that unit, where there is one, so that it is read to the digit it was. A heading
/// that names another unit than our column has, without a unit behind it, is complained of.
///
/// @param sheet  the old table
/// @throws BadInput with every complaint about the old table, by its own lines; nothing is written
BroughtIn brought_in(BroughtInto table, const Table& sheet, const std::vector<ColumnNaming>& names,
                     const Studio& studio, const estimate::StartingValues& starting);

}  // namespace ellwand::studio
