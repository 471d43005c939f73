// R2003
static int x = 1;
