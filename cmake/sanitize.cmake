# The second set of libraries and programs, under sanitizers. -O1 compiles twice as fast as -O2 here and
# finds the same; what the address sanitizer or the processor catches by itself is not asked at every access
# again. trace-pc and trace-cmp are for libFuzzer; elsewhere tests/support/no_coverage.cpp takes the calls.
set(SANITIZE_OPTIONS -O1 -g1 -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
    -fno-sanitize=null,alignment,object-size,nonnull-attribute,returns-nonnull-attribute,vptr
    -fsanitize-coverage=trace-pc,trace-cmp)
set(SANITIZE_LINK_OPTIONS -fsanitize=address,undefined)
