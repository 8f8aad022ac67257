"""What every builder knows: values, codes, units, money, designators. Keeps no state."""
