"""The practical: amounts, orders, times and steps of both days."""
