// R2003
#error wing
