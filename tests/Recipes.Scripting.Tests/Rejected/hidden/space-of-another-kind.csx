// R2003 source
int wing = 1;
