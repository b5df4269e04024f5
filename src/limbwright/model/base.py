"""What every written-down thing has in common."""

from pydantic import BaseModel, ConfigDict


class Written(BaseModel):
    """Frozen, and refuses keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)
