# Everything under the thread sanitizer, tests as well: an atomic in code that is not instrumented is not seen, and
# what it guards would be reported. Libraries of the system are not; tests/support/threads.txt has what that costs.
add_compile_options(-O1 -g1 -fno-omit-frame-pointer -fsanitize=thread)
add_link_options(-fsanitize=thread)
# The runtime of g++ 12 wants its own range of addresses: without -R a kernel that spreads them further ends it.
find_program(SETARCH setarch REQUIRED)
set(CMAKE_CROSSCOMPILING_EMULATOR ${SETARCH} -R)
