"""Daily weather as arrays, one value a day without gaps in the calendar."""

from dataclasses import dataclass
from datetime import date, timedelta

from service.costing.units import Array


@dataclass(frozen=True, slots=True)
class DailySeries:
    """Weather of each day from the first on; what is not known is not a number.

    All arrays have the shape (days,).
    """

    first_day: date
    tmax_c: Array
    """Highest air temperature [°C]."""
    tmin_c: Array
    """Lowest air temperature [°C]."""
    precipitation_mm: Array | None
    """Rain and melted snow that fell [mm]; None where the record has no such column."""
    snow_depth_cm: Array | None
    """Observed depth of snow on the ground [cm]; None where the record has no such column."""

    @property
    def days(self) -> int:
        """Days of the calendar from the first to the last [day]."""
        return len(self.tmax_c)

    @property
    def last_day(self) -> date:
        """The last day."""
        return self.first_day + timedelta(days=self.days - 1)
