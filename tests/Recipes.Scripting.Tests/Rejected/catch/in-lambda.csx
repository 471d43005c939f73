// R2003
Action go = () =>
{
    try
    {
        Report.Note("x");
    }
    catch
    {
    }
};
go();
