// R2003
static void Wing() { }
unsafe
{
    delegate*<void> call = &Wing;
}
