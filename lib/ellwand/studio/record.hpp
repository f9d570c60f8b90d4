#pragma once
/// What is recorded as it happens: measured swatches, bought lots, minutes spent, finished pieces.
///
/// Whatever is written is first read back as the studio will read it; a file that would not be
/// usable afterwards, or that another program changed meanwhile, is left as it was. One program at
/// a time records (write_turn.hpp). Nothing that was in a file is lost, not even columns nobody
/// knows. "The last one" is the last row of a table, the last [[measured]] of a piece.
///
/// A figure is asked about by what was known without it: where its swatch or piece was measured
/// before, what the calibration may have learned of it is left out (known_without.hpp).

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"
#include "ellwand/studio/table.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// Which table a row goes to.
enum class RecordedIn { Swatches, Lots, Minutes };

/// What has been written.
struct Recorded {
  std::filesystem::path file;
  int line = 0;  ///< where it stands now, or stood
  std::vector<NewCell> cells;
  std::vector<Complaint> warnings;  ///< about it
  std::vector<std::string> notes;   ///< what else was done, each a sentence
};

/// The columns a table may be given.
std::vector<std::string> columns_of(RecordedIn table);

/// A question where a day is still to come; empty otherwise.
std::string doubt_of_day(const std::string& day, const std::string& today);

/// A cell from what was typed: numbers are written as the file has them.
NewCell typed_cell(const std::string& column, const std::string& text);

/// What is known beside the studio's files when something is recorded.
struct RecordedOn {
  std::string today;                           ///< year-month-day; later days are asked about
  const estimate::Learned* learned = nullptr;  ///< of her swatches, where there is a calibration
};

/// One table of a studio. The file is made, with a heading, when it is not there; columns it lacks
/// are added to it.
class RecordBook {
 public:
  RecordBook(RecordedIn table, std::filesystem::path folder, const Studio& studio,
             const estimate::StartingValues& starting, RecordedOn on);

  /// @throws BadInput with every complaint about the row; nothing is then changed
  Recorded add(const std::vector<NewCell>& cells) const;
  /// A row, other cells in it: the last one, or where `swatch` is among the cells that of that
  /// swatch; of several the last that has something in each of the columns, else the one that has
  /// the most of the figures named, those that say what is named before others. `swatch` alone is
  /// another name for the last row.
  /// @throws BadInput as add, and when there is no row, none of that swatch, or several that may
  ///         all be meant
  Recorded amend(const std::vector<NewCell>& cells) const;
  /// @throws BadInput when there is no row
  Recorded undo() const;

  /// Whether a swatch of this id has a row already that says what was woven.
  bool knows_work_of(const std::string& swatch) const;

 private:
  std::optional<std::string> file_text() const;
  Table table_of(const std::optional<std::string>& text) const;
  std::size_t row_to_amend(const Table& table, const std::vector<NewCell>& cells) const;
  Recorded write(const std::optional<std::string>& was, const std::string& text, std::size_t row,
                 const std::vector<NewCell>& cells) const;
  std::vector<Complaint> read_back(const std::string& text, int line) const;
  bool was_measured(const calibrate::Swatch& swatch) const;
  std::vector<Complaint> slips_at(int line, const std::vector<calibrate::Swatch>& swatches) const;
  std::vector<Complaint> doubts_of_minutes(const std::string& text) const;
  std::vector<Complaint> doubts_of_row(const Table& table, std::size_t row,
                                       const std::vector<NewCell>& cells) const;
  std::string doubt_of_twice(const Table& table, std::size_t row) const;

  RecordedIn table_;
  std::filesystem::path folder_;
  std::filesystem::path path_;
  const Studio& studio_;
  const estimate::StartingValues& starting_;
  RecordedOn on_;
};

/// A [[measured]] table more at the end of a piece's file; what left the ball is taken off the lots
/// of its yarn.
///
/// @param cells  as a row of swatches.csv has them, without what was woven
/// @throws BadInput with every complaint; nothing is then changed
Recorded record_finished(const std::filesystem::path& folder, const std::string& piece,
                         const std::vector<NewCell>& cells, const Studio& studio,
                         const estimate::StartingValues& starting, const RecordedOn& on);
Recorded amend_finished(const std::filesystem::path& folder, const std::string& piece,
                        const std::vector<NewCell>& cells, const Studio& studio,
                        const estimate::StartingValues& starting, const RecordedOn& on);
/// Takes it away and puts the yarn back on the shelf.
Recorded undo_finished(const std::filesystem::path& folder, const std::string& piece,
                       const Studio& studio);

}  // namespace ellwand::studio
