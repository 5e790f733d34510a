#pragma once

#include <gtest/gtest.h>

/// A match over all candidates is thousands of cranks. Under sanitizers that takes minutes and visits no code that the
/// smaller ones do not.
#ifdef RAILSEEP_SANITIZED
#define FULL_MATCH GTEST_SKIP() << "too slow under sanitizers"
#else
#define FULL_MATCH static_cast<void>(0)
#endif
