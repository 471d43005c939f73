// R2003
interface ITold;
class Bad : Exception, ITold;
try
{
    throw new Bad();
}
catch (Bad e)
{
    ITold told = e;
    Report.Note($"{told}");
}
