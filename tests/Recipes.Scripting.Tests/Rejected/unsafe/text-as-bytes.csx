// R2003
int n = "wing"u8.Length;
