# find_package(ellwand) -> ellwand::ellwand. The package needs no other.
include(${CMAKE_CURRENT_LIST_DIR}/ellwandTargets.cmake)
