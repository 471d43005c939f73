// R2003 source
int wi​ng = 1;
