# What an installed Voltsill consists of, and a package of it for Debian: cpack --config build/CPackConfig.cmake
# The catalogue, the boards and the page are inside the program.
set(manual ${CMAKE_BINARY_DIR}/voltsill.1.gz)
set(completions ${CMAKE_BINARY_DIR}/completions)
add_custom_command(OUTPUT ${manual} COMMAND sh -c "\"$<TARGET_FILE:voltsill>\" manual | gzip -9n > \"${manual}\""
  DEPENDS voltsill VERBATIM)
add_custom_command(OUTPUT ${completions}/voltsill ${completions}/_voltsill ${completions}/voltsill.fish
  COMMAND ${CMAKE_COMMAND} -E make_directory ${completions}
  COMMAND voltsill completion bash > ${completions}/voltsill
  COMMAND voltsill completion zsh > ${completions}/_voltsill
  COMMAND voltsill completion fish > ${completions}/voltsill.fish
  DEPENDS voltsill VERBATIM)
add_custom_target(installed-words ALL DEPENDS ${manual} ${completions}/voltsill)

include(GNUInstallDirs)
install(TARGETS voltsill)
install(FILES ${manual} DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(FILES ${completions}/voltsill DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
install(FILES ${completions}/_voltsill DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions)
install(FILES ${completions}/voltsill.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright)
install(FILES README.md DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(DIRECTORY docs/ DESTINATION ${CMAKE_INSTALL_DOCDIR}/docs)
install(DIRECTORY examples DESTINATION ${CMAKE_INSTALL_DOCDIR})

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_CONTACT "the Voltsill developers <voltsill@example.org>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "check, plan, wire and mark benches of parts whose supplies differ")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION electronics)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS fonts-dejavu-core)  # of the printed sheets
include(CPack)
