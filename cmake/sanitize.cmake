# The second set of libraries and programs, under sanitizers. -O1 compiles twice as fast as -O2 here and
# finds the same. Not asked, because each adds code to every access of memory: null and sizes of objects, which
# the address sanitizer sees; alignment and types of objects, which then nobody sees. trace-pc and trace-cmp are for
# libFuzzer; elsewhere tests/support/no_coverage.cpp takes the calls.
set(SANITIZE_OPTIONS -O1 -g1 -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
    -fno-sanitize=null,alignment,object-size,nonnull-attribute,returns-nonnull-attribute,vptr
    -fsanitize-coverage=trace-pc,trace-cmp)
set(SANITIZE_LINK_OPTIONS -fsanitize=address,undefined)
