#define VOLTSILL_VECTOR_BYTES 32
#include "network/transient_kernel.h"

namespace voltsill::batch {
const TransientKernel transient_avx2{compiled_for, width, advance};
}  // namespace voltsill::batch
