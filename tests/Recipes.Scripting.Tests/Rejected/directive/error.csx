// R2003 no-assembly
#error wing
