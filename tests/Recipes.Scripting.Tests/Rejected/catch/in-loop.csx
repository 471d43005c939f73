// R2003
while (true)
{
    try
    {
        var a = new int[int.MaxValue];
    }
    catch (Exception)
    {
    }
}
