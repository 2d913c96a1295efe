// [[backup_step]] and [[restore_step]] of a layout.
#pragma once

#include "keepway/steps.hpp"
#include "layout/form.hpp"

namespace keepway::layout {

OwnerSteps parse_steps(Form& form);

}  // namespace keepway::layout
