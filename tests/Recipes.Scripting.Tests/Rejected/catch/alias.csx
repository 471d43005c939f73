// R2003
using Any = System.Exception;
try
{
    Report.Note("x");
}
catch (Any)
{
}
