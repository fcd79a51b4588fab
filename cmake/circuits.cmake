# The table of interface circuits is made from the sources that define them: every
# `extern const CircuitKind NAME_circuit{` at the start of a line under src/planning/circuits/ is one. So a circuit is
# one file, and nobody keeps a list. Runs at configuring to say how, and while building to write it.
if(NOT CMAKE_SCRIPT_MODE_FILE)
  file(GLOB circuit_files CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/src/planning/circuits/*.cpp)
  set(CIRCUITS_SOURCE ${CMAKE_BINARY_DIR}/all_circuits.cpp)
  add_custom_command(
    OUTPUT ${CIRCUITS_SOURCE}
    COMMAND ${CMAKE_COMMAND} -DOUTPUT=${CIRCUITS_SOURCE} "-DFILES=${circuit_files}" -P ${CMAKE_CURRENT_LIST_FILE}
    DEPENDS ${circuit_files} ${CMAKE_CURRENT_LIST_FILE}
    VERBATIM)
  return()
endif()

set(names "")
foreach(path IN LISTS FILES)
  file(STRINGS "${path}" lines REGEX "^extern const CircuitKind [a-z_]+_circuit{")
  file(STRINGS "${path}" functions REGEX "Proposal propose_[a-z_]+\\(")
  list(LENGTH lines circuits)
  list(LENGTH functions proposing)
  if(NOT circuits EQUAL proposing)
    message(FATAL_ERROR "${path}: ${proposing} functions propose_NAME, but ${circuits} lines that begin with "
                        "`extern const CircuitKind NAME_circuit{`: every circuit has both")
  endif()
  foreach(line IN LISTS lines)
    string(REGEX REPLACE "^extern const CircuitKind ([a-z_]+){.*" "\\1" name "${line}")
    list(APPEND names ${name})
  endforeach()
endforeach()
list(JOIN names ", " names)
file(WRITE "${OUTPUT}" "#include \"planning/circuit_kind.h\"

namespace voltsill {

extern const CircuitKind ${names};

const std::vector<CircuitKind>& all_circuits() {
    static const std::vector<CircuitKind> circuits = in_place({${names}});
    return circuits;
}

}  // namespace voltsill
")
