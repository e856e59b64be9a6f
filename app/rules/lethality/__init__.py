"""Published tables of times at a temperature, and a plan that rests on one."""
