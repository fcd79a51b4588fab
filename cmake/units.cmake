# The sources of a room are one unit of compilation (VOLTSILL_UNITY): headers are read once for all of
# them. So names without linkage are unique in their room.
function(voltsill_unit name list)
  file(GLOB found CONFIGURE_DEPENDS ${ARGN})
  set_source_files_properties(${found} PROPERTIES UNITY_GROUP ${name})
  set(${list} ${${list}} ${found} PARENT_SCOPE)
endfunction()
