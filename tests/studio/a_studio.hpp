#pragma once
/// An invented studio for the tests of readers.

#include "ellwand/studio/read_studio.hpp"

#include "told.hpp"

namespace ellwand::studio {

inline const char* const kStudioToml = R"([studio]
name = "Tidewrack"
currency = "EUR"

[show]
length = "in"
yarn = "yd"
mass = "oz"

[habits]
tail = "11 cm"
carried_by = "butterfly"
waste = "3 %"
weaver = "beginner"

[[loom]]
name = "slate"
kind = "notched"
span = "34 cm"
pitch = "4 mm"

[[loom]]
name = "trestle"
kind = "beam"

[price]
margin = "30 %"
)";

inline const char* const kYarnsCsv =
    "id,label,fibre,kind,ply,count,put_up,price,use,made,diameter_mm,wraps,wraps_convention,"
    "lies_flat\n"
    "seine-12-6,Seine twine,cotton,,,12/6 seine twine,250 m,9.5,warp,,1.0,,,\n"
    "rug-ash,,wool,,2,200 m / 100 g,100 g,8,weft,hand-dyed,,,,\n"
    "rug-rust,,wool,,2,200 m / 100 g,100 g,8,weft,,,,,\n"
    "sliver,Fleece sliver,wool,roving,,8000 tex,,,,,,,,\n";

inline const char* const kLotsCsv =
    "yarn,lot,bought,net_g,net_m,opened,longest_left_m\n"
    "rug-ash,A7,2026-03-14,100,,no,\n"
    "rug-ash,A9,,,50,yes,12\n";

inline StudioTexts studio_texts() { return {"tidewrack", kStudioToml, kYarnsCsv, kLotsCsv}; }

inline const Studio& a_studio() {
  static const Studio kStudio = studio_from(studio_texts(), starting_values());
  return kStudio;
}

}  // namespace ellwand::studio
