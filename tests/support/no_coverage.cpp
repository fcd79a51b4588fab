/// The sanitized core tells where it has been, for libFuzzer; in other programs nobody listens.
extern "C" {
void __sanitizer_cov_trace_pc() {}
void __sanitizer_cov_trace_cmpf(float, float) {}
void __sanitizer_cov_trace_cmpd(double, double) {}
}
