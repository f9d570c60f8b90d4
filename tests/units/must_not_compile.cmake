# Wrong units must not compile, and for the right reason: the file compiles with every line right,
# and with one line wrong the compiler's first error is at that line.
#   cmake -DCOMPILER=... -DINCLUDE=.../lib -DFILE=.../units_must_match.cpp -P must_not_compile.cmake
cmake_minimum_required(VERSION 3.22)

function(try_to_compile out_result out_said)
  execute_process(
    COMMAND ${COMPILER} -std=c++20 -fsyntax-only -I${INCLUDE} ${ARGN} ${FILE}
    RESULT_VARIABLE result ERROR_VARIABLE said)
  set(${out_result} "${result}" PARENT_SCOPE)
  set(${out_said} "${said}" PARENT_SCOPE)
endfunction()

try_to_compile(result said)
if(NOT result EQUAL 0)
  message(FATAL_ERROR "with every line right it should compile:\n${said}")
endif()

# The marked lines, by number: a `;` would split a list, so it is taken out first.
file(READ ${FILE} text)
string(REPLACE ";" "" text "${text}")
string(REPLACE "[" "(" text "${text}")
string(REPLACE "]" ")" text "${text}")
string(REPLACE "\n" " \n;" lines "${text}")

set(number 0)
set(tried 0)
foreach(line IN LISTS lines)
  math(EXPR number "${number} + 1")
  if(NOT line MATCHES "// (WRONG_[A-Z_]+)")
    continue()
  endif()
  set(case ${CMAKE_MATCH_1})
  try_to_compile(result said -D${case})
  if(result EQUAL 0)
    message(FATAL_ERROR "${case} compiles; line ${number} should be refused")
  endif()
  string(REGEX MATCH "units_must_match.cpp:[0-9]+:[0-9]+: error" first "${said}")
  if(NOT first MATCHES "^units_must_match.cpp:${number}:")
    message(FATAL_ERROR "${case} fails for another reason than line ${number}:\n${said}")
  endif()
  message(STATUS "${case} is refused at line ${number}")
  math(EXPR tried "${tried} + 1")
endforeach()

if(tried LESS 6)
  message(FATAL_ERROR "only ${tried} wrong lines were found in ${FILE}; there were six")
endif()
