// R2003 source
int wаng = 1;
