# Batch kernels are written once and compiled once per instruction set; the right
# one is chosen at run time. Files are named KERNEL.baseline.cc, KERNEL.avx2.cc ...
file(GLOB avx2_sources CONFIGURE_DEPENDS src/network/*.avx2.cc)
file(GLOB avx512_sources CONFIGURE_DEPENDS src/network/*.avx512.cc)
file(GLOB baseline_sources CONFIGURE_DEPENDS src/network/*.baseline.cc)
set(speed "$<IF:$<OR:$<BOOL:${VOLTSILL_THREADS}>,$<BOOL:$<TARGET_PROPERTY:VOLTSILL_SANITIZED>>>,-O1,-O3>")
set_source_files_properties(${baseline_sources} PROPERTIES COMPILE_OPTIONS "${speed};-march=x86-64-v2")
set_source_files_properties(${avx2_sources} PROPERTIES COMPILE_OPTIONS "${speed};-march=x86-64-v3")
set_source_files_properties(${avx512_sources} PROPERTIES
  COMPILE_OPTIONS "${speed};-march=x86-64-v4;-mprefer-vector-width=512")
set(KERNELS ${baseline_sources} ${avx2_sources} ${avx512_sources})
