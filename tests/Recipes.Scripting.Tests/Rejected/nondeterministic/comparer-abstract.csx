// R2003
abstract class Same : EqualityComparer<string>;
Report.Note("x");
