"""What members write into the calendar, understood."""
