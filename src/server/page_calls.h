#pragma once
/// The page itself.
#include "server/site.h"

namespace voltsill::server {

Answer page(Call& call);   ///< index.html with token and nonce filled in
Answer asset(Call& call);  ///< what belongs to it, and drawing.css
Answer about(Call& call);

}  // namespace voltsill::server
