# The installed package serves a stranger's project when the build tree is gone.
#   cmake -DSOURCE=... -DSCRATCH=... -DGENERATOR=... -DCOMPILER=... -P package_test.cmake
# Builds as a packager would (no option set), installs, moves the build away, then builds and runs
# tests/package in a folder of its own, and the installed program from yet another.
cmake_minimum_required(VERSION 3.22)

function(step what)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE result
    OUTPUT_VARIABLE said ERROR_VARIABLE said)
  if(NOT result EQUAL 0)
    message(FATAL_ERROR "${what} failed (${result}):\n${said}")
  endif()
  set(said "${said}" PARENT_SCOPE)
endfunction()

set(build ${SCRATCH}/build)
set(prefix ${SCRATCH}/prefix)
file(REMOVE_RECURSE ${SCRATCH})
file(MAKE_DIRECTORY ${SCRATCH})

# Unoptimised and in one piece, because only the package is looked at; compiled code is reused
# where ccache is at hand.
find_program(ccache ccache)
set(quick -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_FLAGS_DEBUG=-O0)
if(ccache)
  list(APPEND quick -DCMAKE_CXX_COMPILER_LAUNCHER=${ccache})
endif()
step("configuring" ${CMAKE_COMMAND} -S ${SOURCE} -B ${build} -G ${GENERATOR}
  -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_INSTALL_PREFIX=${prefix} ${quick})
if(EXISTS ${build}/CTestTestfile.cmake)
  message(FATAL_ERROR "tests were configured although nobody asked for them")
endif()
step("building" ${CMAKE_COMMAND} --build ${build})
step("installing" ${CMAKE_COMMAND} --install ${build})
file(RENAME ${build} ${SCRATCH}/moved-away)

# Nothing installed as text may point back into the source or the build.
file(GLOB_RECURSE texts ${prefix}/*.cmake ${prefix}/*.hpp)
foreach(text IN LISTS texts)
  file(READ ${text} content)
  foreach(place ${SOURCE} ${build})
    string(FIND "${content}" "${place}" found)
    if(found GREATER_EQUAL 0)
      message(FATAL_ERROR "${text} names ${place}")
    endif()
  endforeach()
endforeach()

file(COPY ${SOURCE}/tests/package DESTINATION ${SCRATCH}/elsewhere)
step("configuring the stranger's project" ${CMAKE_COMMAND}
  -S ${SCRATCH}/elsewhere/package -B ${SCRATCH}/elsewhere/build -G ${GENERATOR}
  -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_PREFIX_PATH=${prefix}
  # The package alone must do: the stranger has none of the libraries that ours is made with.
  -DCMAKE_DISABLE_FIND_PACKAGE_Boost=ON -DCMAKE_DISABLE_FIND_PACKAGE_Eigen3=ON
  -DCMAKE_DISABLE_FIND_PACKAGE_fmt=ON -DCMAKE_DISABLE_FIND_PACKAGE_tomlplusplus=ON
  -DCMAKE_DISABLE_FIND_PACKAGE_nlohmann_json=ON)
step("building the stranger's project" ${CMAKE_COMMAND} --build ${SCRATCH}/elsewhere/build)
step("running the stranger's program" ${SCRATCH}/elsewhere/build/stranger)
# 240 ends x 2.86 m x 60 g/km = 41.184 g by hand.
if(NOT said STREQUAL
    "41.184 g\nsett, ends per cm is 80; this loom holds from 0.5 to 40\n")
  message(FATAL_ERROR "the stranger's program said:\n${said}")
endif()

# The installed program finds its data beside itself: it estimates the demo piece.
step("running the installed program" ${CMAKE_COMMAND} -E chdir ${SCRATCH}/elsewhere
  ${prefix}/bin/ellwand estimate ${prefix}/share/ellwand/demo/${DEMO_PIECE})
if(NOT said MATCHES "[0-9]")
  message(FATAL_ERROR "the installed program's estimate has no figure in it:\n${said}")
endif()
file(REMOVE_RECURSE ${SCRATCH})
