# The Debian packages that cpack makes of a build: `ellwand`, the program with its data, and `libellwand-dev`.
# tools/debian/build builds both; tools/debian/finish.cmake puts in what Debian's policy asks for besides.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_CONTACT "Ellwand developers <ellwand@example.org>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "")  # each package has its own
set(CPACK_COMPONENTS_ALL program development)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
  OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
set(CPACK_PRE_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/tools/debian/finish.cmake)

set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_ENABLE_COMPONENT_DEPENDS OFF)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME ellwand)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION misc)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SUGGESTS "xdg-utils")  # ellwand page --open
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "how much yarn a hand-woven piece takes
Ellwand reckons the yarn of a wall hanging or another hand-woven piece from
the geometry of its cloth: what each band, turn, tail, knot and fringe takes,
what to set aside so that no dye lot runs out, whether the warp is long
enough, and what to cut. Every figure comes with the range it lies in 9 times
in 10, and can be asked where it comes from.

It learns a weaver's hand from measured swatches, and answers what to buy, to
pack and to charge. A studio is a folder of plain text files.")

# No library to run: the static one is all there is. Its programs read the starting values that are in the other package.
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libellwand-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "ellwand (= ${PROJECT_VERSION})")
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION "how much yarn a hand-woven piece takes, C++20 library
The engine of ellwand for other programs: readers of a studio's plain files,
the estimate of a piece with its ranges, calibration by measured swatches, and
decisions on yarn.

This package has the headers, the static library, and what CMake and
pkg-config find it by.")
include(CPack)
