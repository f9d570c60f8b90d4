#pragma once
/// What time.csv tells of how long each work takes.

#include "ellwand/decide/labour.hpp"
#include "ellwand/studio/read_time.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace ellwand::studio {

struct TimeLog {
  std::vector<decide::Logged> works;
  std::vector<Complaint>
      warnings;  ///< rows that tell nothing, and why; and what is odd in the file
};

/// The rows of one weaver in a studio's time.csv, each with its rows of cloth brought to 10 cm of
/// width by the piece or swatch it names. Rows of cloth not counted are those of the whole band;
/// minutes of a piece and no band are besides, and of one piece count together. Nothing where there
/// is no such file.
///
/// @param weaver    as rows name her; empty for the studio's owner
/// @param workshop  of the studio
/// @throws BadInput with every complaint of time.csv, and of swatches.csv where it is needed
TimeLog open_time_log(const std::filesystem::path& folder, const Studio& studio,
                      const estimate::Workshop& workshop, const std::string& weaver);

/// The same of a text that is to become the studio's time.csv.
TimeLog read_time_log(const std::string& text, const std::filesystem::path& folder,
                      const Studio& studio, const estimate::Workshop& workshop,
                      const std::string& weaver);

}  // namespace ellwand::studio
