// R2003
class Bad : Exception;
try
{
    throw new Bad();
}
catch (Bad e)
{
    Report.Note($"{(1, e)}");
}
