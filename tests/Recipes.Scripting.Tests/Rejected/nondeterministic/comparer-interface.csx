// R2003
interface ISame : IEqualityComparer<string>;
Report.Note("x");
