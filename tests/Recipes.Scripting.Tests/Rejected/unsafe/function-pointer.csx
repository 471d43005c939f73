// R2003
unsafe
{
    delegate*<void> call = null;
    call();
}
