#pragma once
/// What a verb works with: a studio opened whole, what its swatches taught, and its piece files.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/studio.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::tools {

/// A piece file, and the studio it belongs to.
struct PieceFile {
  std::filesystem::path studio;
  std::filesystem::path piece;
};

/// The folder that a verb was given as its studio.
///
/// @throws BadInput when it has no studio.toml
std::filesystem::path studio_folder(const std::filesystem::path& folder);

/// What was named on the command line: a piece file stands for itself, a studio's folder for all
/// its pieces.
///
/// @throws BadInput for what is not there or is no piece, naming the nearest, for a folder that is
///         no studio or has no piece
std::vector<PieceFile> named_pieces(const std::vector<std::string>& words);

/// The one piece file that a verb was given.
///
/// @param verb  its name, for the sentence that tells what it takes
/// @throws WrongUsage when it was given none, several, or a folder
/// @throws BadInput as named_pieces
PieceFile named_piece(const std::vector<std::string>& words, const std::string& verb);

/// The one studio folder that a verb was given.
///
/// @throws WrongUsage when it was given none or several
/// @throws BadInput as studio_folder
std::filesystem::path named_studio(const std::vector<std::string>& words, const std::string& verb);

/// A calibration, and whether the swatches are still those it was made from.
struct KeptCalibration {
  studio::Calibration calibration;
  bool is_current = true;
};

enum class Learning { Used, LeftOut };

/// One studio with its starting values and its calibration.
class Workbench {
 public:
  /// @param folder  of the studio
  /// @throws BadInput with every complaint of the studio's files
  explicit Workbench(std::filesystem::path folder, Learning learning = Learning::Used);
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;

  const std::filesystem::path& folder() const { return folder_; }
  const studio::Studio& studio() const { return studio_; }
  const estimate::StartingValues& values() const { return values_; }
  const estimate::Shelf& shelf() const { return shelf_; }
  /// Null where there is none or it is left out.
  const KeptCalibration* calibration() const { return kept_ ? &*kept_ : nullptr; }
  const estimate::Learned* learned() const { return kept_ ? &kept_->calibration.learned : nullptr; }
  /// Holds on to this workbench.
  estimate::Workshop workshop() const;

  /// A piece file read.
  ///
  /// @throws BadInput with every complaint
  studio::PieceReading open(const std::filesystem::path& piece) const;

  /// Warnings of the studio's files, and of a calibration older than the swatches.
  std::vector<std::string> warnings() const;

 private:
  std::filesystem::path folder_;
  estimate::StartingValues values_;
  studio::Studio studio_;
  estimate::Shelf shelf_;
  std::optional<KeptCalibration> kept_;
};

/// The pieces a verb looks at.
struct ChosenPieces {
  std::vector<piece::Piece> pieces;
  bool are_planned = false;           ///< planned or named; otherwise they are all there are
  std::vector<Complaint> complaints;  ///< of those that cannot be woven or read
};

/// Those named by their ids; or those planned; or, where none is planned, all there are.
///
/// @throws WrongUsage for an id that no piece file has, naming the nearest
ChosenPieces choose_pieces(const Workbench& bench, const std::vector<std::string>& ids);

}  // namespace ellwand::tools
