// R2003 source
// a comment‮ that turns
int a = 1;
