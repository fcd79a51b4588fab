# The catalogue travels inside the program: every TOML file under catalogue/ becomes
# one entry of an embedded table, so that the core needs no file at run time.
file(GLOB CATALOGUE_FILES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/catalogue/*.toml)
set(CATALOGUE_SOURCE ${CMAKE_BINARY_DIR}/embedded_catalogue.cpp)
add_custom_command(
  OUTPUT ${CATALOGUE_SOURCE}
  COMMAND ${CMAKE_COMMAND} -DOUTPUT=${CATALOGUE_SOURCE} "-DFILES=${CATALOGUE_FILES}"
          -P ${CMAKE_SOURCE_DIR}/cmake/embed.cmake
  DEPENDS ${CATALOGUE_FILES} ${CMAKE_SOURCE_DIR}/cmake/embed.cmake
  VERBATIM)
