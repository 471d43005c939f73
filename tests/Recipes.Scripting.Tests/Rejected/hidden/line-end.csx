// R2003 source
int a = 1; // the rest is code for the compiler alone a = 2;
