# The page travels inside the program: web/ is type-checked, bundled and written as one C++ source,
# again only when something of it changed. Packages come as web/package-lock.json names them.
# WEB_ASSETS is that source; src/server/assets.h says what is in it.
find_program(NODE node)
find_program(NPM npm)
if(NOT NODE OR NOT NPM)
  message(FATAL_ERROR "The page is built with node and npm (18 or later): apt-get install nodejs npm")
endif()
set(WEB ${CMAKE_SOURCE_DIR}/web)
set(WEB_ASSETS ${CMAKE_BINARY_DIR}/embedded_page.cpp)

file(GLOB_RECURSE WEB_FILES CONFIGURE_DEPENDS ${WEB}/src/*.ts ${WEB}/src/*.tsx ${WEB}/style/*)
add_custom_command(
  OUTPUT ${CMAKE_BINARY_DIR}/web-packages.stamp
  COMMAND ${NPM} ci --no-audit --no-fund --loglevel=error
  COMMAND ${CMAKE_COMMAND} -E touch ${CMAKE_BINARY_DIR}/web-packages.stamp
  DEPENDS ${WEB}/package-lock.json ${WEB}/package.json ${WEB}/.npmrc
  WORKING_DIRECTORY ${WEB}
  COMMENT "Fetching the packages of the page"
  VERBATIM)
add_custom_command(
  OUTPUT ${WEB_ASSETS}
  COMMAND ${NODE} node_modules/typescript/bin/tsc --noEmit
  COMMAND ${NODE} build.mjs ${CMAKE_BINARY_DIR}/page ${WEB_ASSETS}
  DEPENDS ${CMAKE_BINARY_DIR}/web-packages.stamp ${WEB_FILES} ${WEB}/index.html ${WEB}/class.html
          ${WEB}/instructor.html ${WEB}/build.mjs ${WEB}/tsconfig.json
  WORKING_DIRECTORY ${WEB}
  COMMENT "Building the page"
  VERBATIM)
