"""Makes the helpers of this folder importable: tests are imported one by one, without packages."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
