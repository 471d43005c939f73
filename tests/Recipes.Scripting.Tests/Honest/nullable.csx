// note: none 4 4 True wing? 0
int? none = null;
int? some = 4;
string text = null;
text ??= "wing";
Report.Note($"{(none.HasValue ? "some" : "none")} {some.Value} {none ?? some} {(none + some) is null} {text?.Length switch { 4 => text + "?", _ => "" }} {none.GetValueOrDefault()}");
