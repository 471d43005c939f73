using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;

namespace Recipes.Checking;

/// <summary>
/// Equality and hash codes are the compiler's alone. Hash codes differ from process to process, and a recipe that is asked whether two
/// things are equal learns from it that their codes collide: so <c>Equals</c> and <c>GetHashCode</c> must be, instruction by
/// instruction, what the compiler writes for records and anonymous types, over all their fields.
/// </summary>
internal sealed class EqualityJudge(MetadataReader reader, AssemblyJudge judge)
{
    private const string Comparer = "System.Collections.Generic.EqualityComparer`1", EqualMethod = "Equals", Contract = "get_EqualityContract";

    /// <summary>True for the methods that the compiler alone may write.</summary>
    public static bool Concerns(string method) => method is EqualMethod or BodyJudge.HashCode or Contract;

    /// <summary>True for what a recipe's type can't be built upon, since it would be asked about hash codes.</summary>
    public static bool Asks(string type) =>
        type is Comparer or "System.Collections.Generic.IEqualityComparer`1" or "System.StringComparer"
            or "System.Collections.IEqualityComparer" or "System.Collections.IStructuralEquatable";

    /// <summary>Whether a type states equality in full, as records do, or not at all.</summary>
    public bool IsWhole(TypeDefinition type)
    {
        bool equals = false, hashes = false, states = false;
        foreach (var handle in type.GetMethods())
        {
            var name = reader.GetMethodDefinition(handle).Name;
            equals |= reader.StringComparer.Equals(name, EqualMethod);
            hashes |= reader.StringComparer.Equals(name, BodyJudge.HashCode);
        }

        foreach (var handle in type.GetInterfaceImplementations())
        {
            states |= judge.NameOf(reader.GetInterfaceImplementation(handle).Interface) == "System.IEquatable`1";
        }

        foreach (var handle in type.GetMethodImplementations())
        {
            var stated = reader.GetMethodImplementation((MethodImplementationHandle)handle).MethodDeclaration;
            judge.InRange(stated);
            if (Concerns(judge.Text(NameOf(stated))))
            {
                return false;
            }
        }

        return equals == hashes && (equals || !states);
    }

    /// <summary>Whether a method's body is what the compiler writes.</summary>
    public bool IsCompilers(TypeDefinition type, string method, MethodBodyBlock body)
    {
        var fields = new List<string>();
        foreach (var handle in type.GetFields())
        {
            var field = reader.GetFieldDefinition(handle);
            if ((field.Attributes & System.Reflection.FieldAttributes.Static) == 0)
            {
                fields.Add(judge.Text(field.Name));
            }
        }

        // What is longer than all of them compares something else, too.
        if (body.ExceptionRegions.Length > 0 || body.Size > 100 + (40 * fields.Count))
        {
            return false;
        }

        bool isValue = judge.NameOf(type.BaseType) == "System.ValueType";
        return Expected(method, fields.Count, isValue).Contains(Spelled(body.GetILReader(), fields));
    }

    private static string[] Expected(string method, int fields, bool isValue)
    {
        string[] equal = [.. Enumerable.Range(0, fields).Select(field => $"default this .{field} other .{field} equal")];
        string[] hash = [.. Enumerable.Range(0, fields).Select(field => $"default this .{field} hash")];
        string all = string.Join(" no ", equal), andAll = fields == 0 ? "" : " no " + all;
        string more = string.Concat(hash.Select(one => $" number mul {one} add"));
        return (method, isValue) switch
        {
            (EqualMethod, true) =>
            [
                fields == 0 ? "1 ret" : fields == 1 ? $"{all} ret" : $"{all} ret 0 ret",
                "other as no this other as Equals ret 0 ret",
            ],
            (EqualMethod, false) =>
            [
                // A record; one that extends another; their Equals of an object, and of what they extend; an anonymous type.
                $"this other yes other no this contract other contract same{andAll} ret 0 ret 1 ret",
                $"this other yes this other Equals{andAll} ret{(fields == 0 ? "" : " 0 ret")} 1 ret",
                "this other as Equals ret",
                "this other Equals ret",
                fields == 0 ? "other as set this other yes other null greater ret 1 ret"
                    : $"other as set this other yes other no {all} ret 0 ret 1 ret",
            ],
            (BodyJudge.HashCode, true) => [fields == 0 ? "0 ret" : $"{hash[0]}{string.Concat(hash.Skip(1).Select(one => $" number mul {one} add"))} ret"],
            (BodyJudge.HashCode, false) =>
                [$"default this contract hash{more} ret", $"this GetHashCode{more} ret", fields == 0 ? "0 ret" : $"number{more} ret"],
            _ => ["token type ret"],
        };
    }

    // The body in words, one for each instruction. A jump is told by where it leads: to "0 ret" or to "1 ret".
    private string Spelled(BlobReader code, List<string> fields)
    {
        var words = new List<string>();
        var starts = new Dictionary<int, int>();
        var jumps = new List<(int Word, int Target)>();
        while (code.RemainingBytes > 0)
        {
            starts[code.Offset] = words.Count;
            int first = code.ReadByte();
            var op = (ILOpCode)(first == 0xFE ? 0xFE00 | code.ReadByte() : first);
            switch (op)
            {
                case ILOpCode.Brfalse_s or ILOpCode.Beq_s:
                    int near = code.ReadSByte();
                    jumps.Add((words.Count, code.Offset + near));
                    break;
                case ILOpCode.Brfalse or ILOpCode.Beq:
                    int far = code.ReadInt32();
                    jumps.Add((words.Count, code.Offset + far));
                    break;
            }

            words.Add(Word(op, ref code, fields));
        }

        foreach (var (word, target) in jumps)
        {
            string lands = starts.TryGetValue(target, out int at) && at + 1 < words.Count && words[at + 1] == "ret" ? words[at] : "";
            words[word] = (words[word], lands) is ("unless", "0") ? "no" : (words[word], lands) is ("when", "1") ? "yes" : "?";
        }

        return string.Join(' ', words);
    }

    private string Word(ILOpCode op, ref BlobReader code, List<string> fields) => op switch
    {
        ILOpCode.Ldarg_0 => "this",
        ILOpCode.Ldarg_1 or ILOpCode.Ldloc_0 => "other",
        ILOpCode.Stloc_0 => "set",
        ILOpCode.Ldc_i4_0 => "0",
        ILOpCode.Ldc_i4_1 => "1",
        ILOpCode.Ldc_i4 when code.ReadInt32() is var _ => "number",
        ILOpCode.Ldnull => "null",
        ILOpCode.Cgt_un => "greater",
        ILOpCode.Mul => "mul",
        ILOpCode.Add => "add",
        ILOpCode.Ret => "ret",
        ILOpCode.Brfalse_s or ILOpCode.Brfalse => "unless",
        ILOpCode.Beq_s or ILOpCode.Beq => "when",
        ILOpCode.Isinst or ILOpCode.Unbox_any when Token(ref code) is var _ => "as",
        ILOpCode.Ldtoken when Token(ref code) is var _ => "token",
        ILOpCode.Ldfld when Token(ref code) is var field => OwnerOf(field).Length == 0 ? $".{fields.IndexOf(judge.Text(NameOf(field)))}" : "?",
        ILOpCode.Call or ILOpCode.Callvirt when Token(ref code) is var method => Called(method),
        _ => "?",
    };

    private string Called(EntityHandle method) => method.Kind == HandleKind.MethodSpecification ? "?" : (OwnerOf(method), judge.Text(NameOf(method))) switch
    {
        (Comparer, "get_Default") => "default",
        (Comparer, EqualMethod) => "equal",
        (Comparer, BodyJudge.HashCode) => "hash",
        ("System.Type", "op_Equality") => "same",
        ("System.Type", "GetTypeFromHandle") => "type",
        ("", Contract) => "contract",
        ("" or "System.Object", EqualMethod) => "Equals",
        ("", BodyJudge.HashCode) => BodyJudge.HashCode,
        _ => "?",
    };

    private EntityHandle Token(ref BlobReader code)
    {
        var handle = MetadataTokens.EntityHandle(code.ReadInt32());
        judge.InRange(handle);
        return handle;
    }

    // Nothing for the recipe's own types.
    private string OwnerOf(EntityHandle member) =>
        member.Kind == HandleKind.MemberReference ? judge.NameOf(reader.GetMemberReference((MemberReferenceHandle)member).Parent) : "";

    private StringHandle NameOf(EntityHandle member) => member.Kind switch
    {
        HandleKind.MemberReference => reader.GetMemberReference((MemberReferenceHandle)member).Name,
        HandleKind.MethodDefinition => reader.GetMethodDefinition((MethodDefinitionHandle)member).Name,
        HandleKind.FieldDefinition => reader.GetFieldDefinition((FieldDefinitionHandle)member).Name,
        _ => throw new BadImageFormatException("A method names something that is no member."),
    };
}
