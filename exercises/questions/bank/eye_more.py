"""Questions for the eye that stand on assessed sheets only: plates that practice never shows."""

from __future__ import annotations

from exercises.questions.bank.eye import put

put("eye-kept", "kept", "assessed")
