# Writes FILES into the C++ source OUTPUT, byte for byte, as what the function TABLE gives. The bytes
# are read as hexadecimal digits and written as \x escapes: to a CMake list or a raw string literal, a
# semicolon, a bracket or the literal's own end would not be just another character.
set(text "#include \"parts/embedded.h\"\n\nnamespace voltsill {\n\n")
string(APPEND text "const std::vector<EmbeddedFile>& ${TABLE}() {\n")
string(APPEND text "    static const std::vector<EmbeddedFile> files = {\n")
string(REPEAT "." 128 row)
foreach(path IN LISTS FILES)
  get_filename_component(name "${path}" NAME)
  file(SIZE "${path}" size)
  file(READ "${path}" digits HEX)
  string(REGEX REPLACE "(${row})" "\\1\n" rows "${digits}")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" rows "${rows}")
  string(REGEX REPLACE "([^\n]+)" "            \"\\1\"" rows "${rows}")
  string(APPEND text "        {\"${name}\", std::string(\n            \"\"\n${rows},\n            ${size})},\n")
endforeach()
string(APPEND text "    };\n    return files;\n}\n\n}  // namespace voltsill\n")
file(WRITE "${OUTPUT}" "${text}")
