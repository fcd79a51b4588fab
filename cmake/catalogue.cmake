# The catalogue travels inside the program: every TOML file under catalogue/ becomes one entry of an
# embedded table, so that the core needs no file at run time. Part files and boards are tables of
# their own, and so are the examples, which the server hands out.
file(GLOB CATALOGUE_FILES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/catalogue/*.toml)
file(GLOB BOARD_FILES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/catalogue/boards/*.toml)
file(GLOB EXAMPLE_FILES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/examples/*.toml)
set(CATALOGUE_SOURCE "")
set(EXAMPLES_SOURCE "")
foreach(table catalogue boards examples)
  set(output ${CMAKE_BINARY_DIR}/embedded_${table}.cpp)
  set(files ${CATALOGUE_FILES})
  if(table STREQUAL "boards")
    set(files ${BOARD_FILES})
  elseif(table STREQUAL "examples")
    set(files ${EXAMPLE_FILES})
  endif()
  add_custom_command(
    OUTPUT ${output}
    COMMAND ${CMAKE_COMMAND} -DOUTPUT=${output} -DTABLE=embedded_${table} "-DFILES=${files}"
            -P ${CMAKE_SOURCE_DIR}/cmake/embed.cmake
    DEPENDS ${files} ${CMAKE_SOURCE_DIR}/cmake/embed.cmake
    VERBATIM)
  if(table STREQUAL "examples")
    list(APPEND EXAMPLES_SOURCE ${output})
  else()
    list(APPEND CATALOGUE_SOURCE ${output})
  endif()
endforeach()
