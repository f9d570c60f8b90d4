# What Debian's policy asks for beyond an installation by hand; cpack runs it on the files of each package before they are
# packed. See packages.cmake.
cmake_minimum_required(VERSION 3.22)

# compress FILE: in its place FILE.gz, the same every time.
function(compress file)
  execute_process(COMMAND gzip -9nf ${file} COMMAND_ERROR_IS_FATAL ANY)
endfunction()

# finish ROOT PACKAGE: copyright and changelog.
function(finish root package)
  set(doc ${root}/usr/share/doc/${package})
  file(MAKE_DIRECTORY ${doc})
  file(COPY ${CMAKE_CURRENT_LIST_DIR}/copyright ${CMAKE_CURRENT_LIST_DIR}/changelog DESTINATION ${doc}
    FILE_PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ)
  compress(${doc}/changelog)
endfunction()

set(program ${CPACK_TEMPORARY_DIRECTORY}/program)
finish(${program} ellwand)
finish(${CPACK_TEMPORARY_DIRECTORY}/development libellwand-dev)
compress(${program}/usr/share/man/man1/ellwand.1)

# Where Debian's zsh looks for what packages bring; by hand the other place is right.
file(MAKE_DIRECTORY ${program}/usr/share/zsh)
file(RENAME ${program}/usr/share/zsh/site-functions ${program}/usr/share/zsh/vendor-completions)

file(COPY ${CMAKE_CURRENT_LIST_DIR}/../../tests/package/how_much.cpp ${CMAKE_CURRENT_LIST_DIR}/../../tests/package/where_it_goes.py
  DESTINATION ${CPACK_TEMPORARY_DIRECTORY}/development/usr/share/doc/libellwand-dev/examples
  FILE_PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ)
