# Much of the time to build goes into reading the same headers again: a precompiled set for each kind of target that is
# compiled with other options, and with what most of its sources read. A set costs each unit that loads it: what few
# read stays out. Called once, after all targets are known.

# All targets made in a folder and those below it.
function(targets_below folder result)
  get_property(found DIRECTORY ${folder} PROPERTY BUILDSYSTEM_TARGETS)
  get_property(folders DIRECTORY ${folder} PROPERTY SUBDIRECTORIES)
  foreach(below IN LISTS folders)
    targets_below(${below} more)
    list(APPEND found ${more})
  endforeach()
  set(${result} ${found} PARENT_SCOPE)
endfunction()

set(standard_headers
  <algorithm> <array> <chrono> <cmath> <cstdint> <cstdio> <deque> <filesystem> <fstream> <functional> <limits> <map>
  <memory> <mutex> <optional> <set> <span> <sstream> <stdexcept> <string> <string_view> <thread> <utility> <variant>
  <vector>)

# Makes the set `name` and gives it to each target in the list. kind: STATIC or EXECUTABLE, as those targets are, for
# their code differs. Further arguments: headers beside the standard ones.
function(share_headers name kind targets)
  set(source ${CMAKE_BINARY_DIR}/generated/${name}.cpp)
  file(CONFIGURE OUTPUT ${source} CONTENT "int main() { return 0; }\n")
  if(kind STREQUAL EXECUTABLE)
    add_executable(${name} EXCLUDE_FROM_ALL ${source})
  else()
    add_library(${name} STATIC EXCLUDE_FROM_ALL ${source})
  endif()
  target_precompile_headers(${name} PRIVATE ${standard_headers} ${ARGN})
  foreach(target IN LISTS targets)
    target_precompile_headers(${target} REUSE_FROM ${name})
  endforeach()
endfunction()

# The targets in the list of one type that are compiled with the given options, or with no options of their own.
function(targets_with type options targets result)
  set(found)
  foreach(target IN LISTS targets)
    get_target_property(type_of_it ${target} TYPE)
    get_target_property(options_of_it ${target} COMPILE_OPTIONS)
    string(FIND "${options_of_it}" "${options}" at)
    if(type_of_it STREQUAL type AND NOT at EQUAL -1)
      list(APPEND found ${target})
    endif()
  endforeach()
  set(${result} ${found} PARENT_SCOPE)
endfunction()

function(precompile_headers)
  set(commands quietpass_commands quietpass_record_commands quietpass_tune_files)
  share_headers(command_headers STATIC "${commands}" <nlohmann/json.hpp> <CLI/CLI.hpp>)
  target_compile_options(command_headers PRIVATE ${waiting_options})

  targets_below(${CMAKE_SOURCE_DIR}/classifiers classifiers)
  targets_with(STATIC_LIBRARY "${sample_options}" "${classifiers}" classifiers)
  share_headers(classifier_headers STATIC "${classifiers}")
  target_compile_options(classifier_headers PRIVATE ${sample_options})

  targets_below(${CMAKE_SOURCE_DIR}/daemon daemon)
  targets_with(STATIC_LIBRARY "" "${daemon}" daemon)
  targets_with(STATIC_LIBRARY "${waiting_options}" "${daemon}" waiting)
  list(REMOVE_ITEM daemon ${waiting})
  list(REMOVE_ITEM waiting ${commands})
  share_headers(daemon_headers STATIC "${daemon}")
  share_headers(waiting_headers STATIC "${waiting}")
  target_compile_options(waiting_headers PRIVATE ${waiting_options})

  if(QUIETPASS_TESTS)
    targets_below(${CMAKE_SOURCE_DIR}/tests below)
    set(tests)
    foreach(target IN LISTS below)
      get_target_property(linked ${target} LINK_LIBRARIES)
      if("Catch2::Catch2WithMain" IN_LIST linked)
        list(APPEND tests ${target})
      endif()
    endforeach()
    share_headers(test_headers EXECUTABLE "${tests}" <catch2/catch.hpp>)
    target_compile_options(test_headers PRIVATE ${test_options})
  endif()
endfunction()
