#define VOLTSILL_VECTOR_BYTES 16
#include "network/transient_kernel.h"

namespace voltsill::batch {
const TransientKernel transient_baseline{compiled_for, width, advance};
}  // namespace voltsill::batch
