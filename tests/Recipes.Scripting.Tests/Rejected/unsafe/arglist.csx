// R2003
int Count(__arglist) => 0;
