# Builds as a packager does, installs, and moves what was installed: what the other tests of the package begin with.
#   cmake -DSOURCE=... -DBUILD=... -DINSTALLED=... -DGENERATOR=... -DCOMPILER=... -P package_installs.cmake
# BUILD lies as deep as build/bench and is compiled by the same commands as tools/bench, so that with ccache either
# finds the other's objects. INSTALLED becomes the prefix; it is not the one that was configured.
cmake_minimum_required(VERSION 3.22)

function(step what)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE result
    OUTPUT_VARIABLE said ERROR_VARIABLE said)
  if(NOT result EQUAL 0)
    message(FATAL_ERROR "${what} failed (${result}):\n${said}")
  endif()
endfunction()

file(REMOVE_RECURSE ${BUILD} ${INSTALLED})
set(launcher "")
find_program(ccache ccache)
if(ccache)
  set(launcher -DCMAKE_CXX_COMPILER_LAUNCHER=${ccache})
  # As tools/house.sh has it, where the test is not run by tools/test.
  if(NOT DEFINED ENV{CCACHE_BASEDIR})
    set(ENV{CCACHE_BASEDIR} ${SOURCE})
  endif()
  set(ENV{CCACHE_NOHASHDIR} 1)
endif()
# As tools/test and tools/bench build it.
step("configuring" ${CMAKE_COMMAND} -S ${SOURCE} -B ${BUILD} -G ${GENERATOR} -DCMAKE_BUILD_TYPE=Release
  -DCMAKE_UNITY_BUILD=ON -DCMAKE_UNITY_BUILD_BATCH_SIZE=10 -DELLWAND_WARNINGS=ON
  -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_INSTALL_PREFIX=/usr ${launcher})
if(EXISTS ${BUILD}/CTestTestfile.cmake)
  message(FATAL_ERROR "tests were configured although nobody asked for them")
endif()
step("building" ${CMAKE_COMMAND} --build ${BUILD})
step("installing" ${CMAKE_COMMAND} --install ${BUILD} --prefix ${INSTALLED}-before)
file(RENAME ${INSTALLED}-before ${INSTALLED})

# Nothing installed may point back into the source, the build, or where it was installed first.
file(GLOB_RECURSE installed LIST_DIRECTORIES false ${INSTALLED}/*)
foreach(file IN LISTS installed)
  foreach(place ${SOURCE}/ ${BUILD}/ ${INSTALLED}-before/)
    execute_process(COMMAND grep -qF ${place} ${file} RESULT_VARIABLE absent)
    if(NOT absent)
      message(FATAL_ERROR "${file} names ${place}")
    endif()
  endforeach()
endforeach()
