# The check of the layers can fail: a small library with one fault of each kind.
#   cmake -DCHECKER=.../layers.cmake -DSCRATCH=... -P layers_test.cmake
cmake_minimum_required(VERSION 3.22)

function(run_checker out_result out_said)
  execute_process(COMMAND ${CMAKE_COMMAND} -DLIB=${SCRATCH} -P ${CHECKER}
    RESULT_VARIABLE result ERROR_VARIABLE said)
  set(${out_result} "${result}" PARENT_SCOPE)
  set(${out_said} "${said}" PARENT_SCOPE)
endfunction()

# Three layers that hold.
file(REMOVE_RECURSE ${SCRATCH})
file(WRITE ${SCRATCH}/LAYERS "# lowest first\nunits:\ncloth: fmt boost/math\nestimate: Eigen\n")
file(WRITE ${SCRATCH}/ellwand/units/inch.hpp "#include <cmath>\n")
file(WRITE ${SCRATCH}/ellwand/cloth/crimp.cpp
  "#include \"ellwand/cloth/crimp.hpp\"\n#include <fmt/format.h>\n#include <boost/math/tools/roots.hpp>\n"
  "#include \"ellwand/units/inch.hpp\"\n")
file(WRITE ${SCRATCH}/ellwand/cloth/crimp.hpp "#include \"ellwand/units/inch.hpp\"\n")
file(WRITE ${SCRATCH}/ellwand/estimate/sum.cpp
  "#include <Eigen/Dense>\n#include \"ellwand/cloth/crimp.hpp\"\n")
run_checker(result said)
if(NOT result EQUAL 0)
  message(FATAL_ERROR "a library that keeps its layers was refused:\n${said}")
endif()

# Each fault alone is refused, with its message and no other.
function(expect_complaint file text complaint)
  file(WRITE ${SCRATCH}/ellwand/${file} "${text}\n")
  run_checker(result said)
  file(REMOVE ${SCRATCH}/ellwand/${file})
  string(REGEX REPLACE "\n.*" "" first "${said}")
  if(result EQUAL 0 OR NOT first STREQUAL complaint)
    message(FATAL_ERROR "expected: ${complaint}\nfound:    ${said}")
  endif()
  message(STATUS "${complaint}")
endfunction()

expect_complaint(cloth/up.cpp "#include \"ellwand/estimate/sum.hpp\""
  "up.cpp: 'cloth' may not know 'estimate'")
expect_complaint(cloth/up.hpp "  #  include <ellwand/estimate/sum.hpp>"
  "up.hpp: 'cloth' may not know 'estimate'")
expect_complaint(cloth/solve.cpp "#include <Eigen/Dense>"
  "solve.cpp: 'cloth' may not use 'Eigen'")
expect_complaint(cloth/options.cpp "#include <boost/program_options.hpp>"
  "options.cpp: 'cloth' may not use 'boost/program_options'")
expect_complaint(units/print.cpp "#include <fmt/format.h>"
  "print.cpp: 'units' may not use 'fmt'")
expect_complaint(estimate/solve.hpp "#include <Eigen/Dense>"
  "solve.hpp: 'Eigen' belongs in a .cpp, never in a header")
expect_complaint(units/system.cpp "#include <unistd.h>"
  "system.cpp: 'units' may not use 'unistd.h'")
expect_complaint(cloth/short.cpp "#include \"crimp.hpp\""
  "short.cpp: \"crimp.hpp\" is not written \"ellwand/folder/name.hpp\"")
expect_complaint(cloth/lost.cpp "#include \"ellwand/nowhere/lost.hpp\""
  "lost.cpp: 'nowhere' is not in LAYERS")
expect_complaint(spindle/whorl.hpp "#include <cmath>"
  "'spindle' is missing from LAYERS")
expect_complaint(loose.hpp "#include <cmath>"
  "loose.hpp: lies in no folder of LAYERS")
file(REMOVE_RECURSE ${SCRATCH})
