"""The plan of orders: what to order from whom, so that a heap of shortages costs as little as can be."""
