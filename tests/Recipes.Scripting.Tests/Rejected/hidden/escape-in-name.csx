// R2003 source
int w\u0061ng = 1;
