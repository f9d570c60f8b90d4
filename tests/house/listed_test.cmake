# Every source is in the hand-written list of its CMakeLists.txt, so that no test is forgotten.
#   cmake -DSOURCE=top/of/the/repository -P listed_test.cmake
cmake_minimum_required(VERSION 3.22)

set(missing "")
# folder: its sources, `suffix`, must be named, with their path, in folder/CMakeLists.txt.
function(check_listed folder suffix)
  file(READ ${SOURCE}/${folder}/CMakeLists.txt list)
  file(GLOB_RECURSE sources RELATIVE ${SOURCE}/${folder} ${SOURCE}/${folder}/*${suffix})
  list(FILTER sources EXCLUDE REGEX "^page/")  # a project of its own
  if(NOT sources)
    message(FATAL_ERROR "no *${suffix} under ${folder}")
  endif()
  foreach(source IN LISTS sources)
    string(REGEX REPLACE "([.+])" "\\\\\\1" pattern "${source}")
    if(NOT list MATCHES "[ \n(\"/]${pattern}[ \n)]")
      set(missing ${missing} "${folder}/CMakeLists.txt does not list ${source}")
      set(missing ${missing} PARENT_SCOPE)
    endif()
  endforeach()
endfunction()

check_listed(lib .cpp)
check_listed(tools .cpp)
check_listed(tools/page/engine .cpp)
check_listed(tests _test.cpp)
if(missing)
  list(JOIN missing "\n" told)
  message(FATAL_ERROR "${told}")
endif()
