# Most of the time to build goes into reading the same headers again: a precompiled set each for what works on samples,
# for the rest of the daemon, for the commands and for the tests. Called once, after all targets are known.

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

# The static libraries made in a folder and those below it.
function(libraries_below folder result)
  targets_below(${folder} targets)
  set(libraries)
  foreach(target IN LISTS targets)
    get_target_property(type ${target} TYPE)
    if(type STREQUAL STATIC_LIBRARY)
      list(APPEND libraries ${target})
    endif()
  endforeach()
  set(${result} ${libraries} PARENT_SCOPE)
endfunction()

function(precompile_headers)
  libraries_below(${CMAKE_SOURCE_DIR}/classifiers classifiers)
  share_headers(classifier_headers STATIC "${classifiers}" <nlohmann/json.hpp>)
  target_compile_options(classifier_headers PRIVATE ${sample_options})

  set(commands quietpass_commands quietpass_record_commands quietpass_tune_files)
  share_headers(command_headers STATIC "${commands}" <nlohmann/json.hpp> <CLI/CLI.hpp>)

  libraries_below(${CMAKE_SOURCE_DIR}/daemon daemon)
  list(REMOVE_ITEM daemon ${commands})
  share_headers(daemon_headers STATIC "${daemon}" <nlohmann/json.hpp>)

  if(QUIETPASS_TESTS)
    targets_below(${CMAKE_SOURCE_DIR}/tests below)
    set(tests)
    foreach(target IN LISTS below)
      get_target_property(linked ${target} LINK_LIBRARIES)
      if("Catch2::Catch2WithMain" IN_LIST linked)
        list(APPEND tests ${target})
      endif()
    endforeach()
    share_headers(test_headers EXECUTABLE "${tests}" <nlohmann/json.hpp> <catch2/catch.hpp>)
    target_compile_options(test_headers PRIVATE ${test_options})
  endif()
endfunction()
