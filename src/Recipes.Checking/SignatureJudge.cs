using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Text;

namespace Recipes.Checking;

/// <summary>
/// Walks signature blobs (ECMA-335, II.23.2) and gives their types the text that documentation comment identifiers use.
/// A walk of our own, because its depth and the text it may make are bounded: the library's decoder recurses as deep as
/// the blob says, and a stack overflow can't be caught.
/// </summary>
internal sealed class SignatureJudge(MetadataReader reader, AssemblyJudge judge)
{
    private const int DeepestType = 32;

    // Text of a type that the recipe declares itself: never part of an identifier on the list.
    private const string OwnType = "<own>";

    private readonly Dictionary<int, string> names = [];

    /// <summary>Namespace and name of a referenced type, outer types included: <c>System.Collections.Generic.List`1.Enumerator</c>.</summary>
    public string NameOf(TypeReferenceHandle handle, int depth = 0)
    {
        if (names.TryGetValue(MetadataTokens.GetRowNumber(handle), out string? known))
        {
            return known;
        }

        if (depth > DeepestType)
        {
            throw new BadImageFormatException("A type nests too deeply.");
        }

        var type = reader.GetTypeReference(handle);
        string name = judge.Text(type.Name);
        string space = judge.Text(type.Namespace);
        string full = type.ResolutionScope.Kind switch
        {
            HandleKind.TypeReference when space.Length == 0 => $"{NameOf((TypeReferenceHandle)type.ResolutionScope, depth + 1)}.{name}",
            HandleKind.AssemblyReference => space.Length == 0 ? name : $"{space}.{name}",
            _ => throw new BadImageFormatException("A type comes from nowhere."),
        };
        judge.Spend(full.Length);
        return names[MetadataTokens.GetRowNumber(handle)] = full;
    }

    /// <summary>Parameters of a method as an identifier shows them, <c>(System.Int32,System.String)</c>, and its return type.</summary>
    public (string Parameters, string Returns, int Arity) Method(BlobHandle blob)
    {
        var bytes = reader.GetBlobReader(blob);
        var header = bytes.ReadSignatureHeader();
        if (header.Kind != SignatureKind.Method || header.CallingConvention != SignatureCallingConvention.Default)
        {
            throw new BadImageFormatException("A method has a calling convention that recipes may not use.");
        }

        int arity = header.IsGeneric ? bytes.ReadCompressedInteger() : 0;
        int count = bytes.ReadCompressedInteger();
        string returns = Type(ref bytes, 0);
        var text = new StringBuilder();
        for (int i = 0; i < count; i++)
        {
            text.Append(i == 0 ? '(' : ',').Append(Type(ref bytes, 0));
        }

        End(bytes);
        return (count == 0 ? "" : text.Append(')').ToString(), returns, arity);
    }

    /// <summary>The type of a field.</summary>
    public string Field(BlobHandle blob)
    {
        var bytes = Open(blob, SignatureKind.Field);
        string type = Type(ref bytes, 0);
        End(bytes);
        return type;
    }

    /// <summary>How many bytes a field with data of its own holds: a plain number's, or those that the recipe's own type states.</summary>
    public int SizeOf(BlobHandle field)
    {
        var bytes = Open(field, SignatureKind.Field);
        switch ((SignatureTypeCode)bytes.ReadByte())
        {
            case SignatureTypeCode.Boolean or SignatureTypeCode.SByte or SignatureTypeCode.Byte:
                return 1;
            case SignatureTypeCode.Char or SignatureTypeCode.Int16 or SignatureTypeCode.UInt16:
                return 2;
            case SignatureTypeCode.Int32 or SignatureTypeCode.UInt32 or SignatureTypeCode.Single:
                return 4;
            case SignatureTypeCode.Int64 or SignatureTypeCode.UInt64 or SignatureTypeCode.Double:
                return 8;
            case (SignatureTypeCode)0x11 when bytes.ReadTypeHandle() is { Kind: HandleKind.TypeDefinition } type:
                return reader.GetTypeDefinition((TypeDefinitionHandle)type).GetLayout().Size;
            default:
                throw new BadImageFormatException("A field of this type has no data of its own.");
        }
    }

    /// <summary>The types of a property and its index.</summary>
    public void Property(BlobHandle blob)
    {
        var bytes = Open(blob, SignatureKind.Property);
        int count = bytes.ReadCompressedInteger();
        Types(ref bytes, count + 1);
    }

    /// <summary>The types of a method's locals.</summary>
    public void Locals(BlobHandle blob)
    {
        var bytes = Open(blob, SignatureKind.LocalVariables);
        Types(ref bytes, bytes.ReadCompressedInteger());
    }

    /// <summary>The type arguments of a generic method's use.</summary>
    public void MethodArguments(BlobHandle blob)
    {
        var bytes = Open(blob, SignatureKind.MethodSpecification);
        for (int left = bytes.ReadCompressedInteger(); left > 0; left--)
        {
            Argument(ref bytes, 0);
        }

        End(bytes);
    }

    /// <summary>A constructed type; gives the definition that a member of it belongs to.</summary>
    /// <returns>The definition's name, <c>[,]</c> for an array of several dimensions; or the type of the recipe's own.</returns>
    public (string Name, TypeDefinitionHandle Own) Specification(BlobHandle blob)
    {
        var bytes = reader.GetBlobReader(blob);
        var start = bytes;
        Type(ref bytes, 0);
        End(bytes);
        switch ((SignatureTypeCode)start.ReadByte())
        {
            case SignatureTypeCode.GenericTypeInstance:
                start.ReadByte();
                var definition = start.ReadTypeHandle();
                return definition.Kind == HandleKind.TypeReference
                    ? (NameOf((TypeReferenceHandle)definition), default)
                    : ("", (TypeDefinitionHandle)definition);
            case SignatureTypeCode.Array:
                return ("[,]", default);
            default:
                return ("", default);
        }
    }

    private BlobReader Open(BlobHandle blob, SignatureKind kind)
    {
        var bytes = reader.GetBlobReader(blob);
        return bytes.ReadSignatureHeader().Kind == kind ? bytes : throw new BadImageFormatException("A signature is of the wrong kind.");
    }

    private void Types(ref BlobReader bytes, int count)
    {
        for (int i = 0; i < count; i++)
        {
            Type(ref bytes, 0);
        }

        End(bytes);
    }

    private static void End(BlobReader bytes)
    {
        if (bytes.RemainingBytes != 0)
        {
            throw new BadImageFormatException("A signature goes on after its end.");
        }
    }

    private string Type(ref BlobReader bytes, int depth)
    {
        if (depth > DeepestType)
        {
            throw new BadImageFormatException("A type nests too deeply.");
        }

        string text = (SignatureTypeCode)bytes.ReadByte() switch
        {
            SignatureTypeCode.Void => "System.Void",
            SignatureTypeCode.Boolean => "System.Boolean",
            SignatureTypeCode.Char => "System.Char",
            SignatureTypeCode.SByte => "System.SByte",
            SignatureTypeCode.Byte => "System.Byte",
            SignatureTypeCode.Int16 => "System.Int16",
            SignatureTypeCode.UInt16 => "System.UInt16",
            SignatureTypeCode.Int32 => "System.Int32",
            SignatureTypeCode.UInt32 => "System.UInt32",
            SignatureTypeCode.Int64 => "System.Int64",
            SignatureTypeCode.UInt64 => "System.UInt64",
            SignatureTypeCode.Single => "System.Single",
            SignatureTypeCode.Double => "System.Double",
            SignatureTypeCode.String => "System.String",
            SignatureTypeCode.IntPtr => "System.IntPtr",
            SignatureTypeCode.UIntPtr => "System.UIntPtr",
            SignatureTypeCode.Object => "System.Object",
            SignatureTypeCode.ByReference => Type(ref bytes, depth + 1) + "@",
            SignatureTypeCode.SZArray => Type(ref bytes, depth + 1) + "[]",
            SignatureTypeCode.Array => Array(ref bytes, depth),
            SignatureTypeCode.GenericTypeParameter => "`" + bytes.ReadCompressedInteger(),
            SignatureTypeCode.GenericMethodParameter => "``" + bytes.ReadCompressedInteger(),
            SignatureTypeCode.GenericTypeInstance => Constructed(ref bytes, depth),
            SignatureTypeCode.RequiredModifier or SignatureTypeCode.OptionalModifier => Modified(ref bytes, depth),
            // Class and value type.
            (SignatureTypeCode)0x11 or (SignatureTypeCode)0x12 => Named(ref bytes),
            SignatureTypeCode.Pointer => throw new BadImageFormatException("A pointer type."),
            SignatureTypeCode.FunctionPointer => throw new BadImageFormatException("A function pointer type."),
            SignatureTypeCode.Pinned => throw new BadImageFormatException("A pinned local."),
            var other => throw new BadImageFormatException($"Type code {(int)other:x} in a signature."),
        };
        judge.Spend(text.Length);
        return text;
    }

    // None is ever there to be kept or asked; the type's name is refused all the same, so that a way that nobody thought of ends here.
    private string Argument(ref BlobReader bytes, int depth)
    {
        string type = Type(ref bytes, depth);
        if (BodyJudge.IsException(type))
        {
            judge.Find("The compiled recipe names an exception as a type argument.");
        }

        return type;
    }

    private string Modified(ref BlobReader bytes, int depth)
    {
        Named(ref bytes);
        return Type(ref bytes, depth + 1);
    }

    private string Named(ref BlobReader bytes)
    {
        var handle = bytes.ReadTypeHandle();
        switch (handle.Kind)
        {
            case HandleKind.TypeReference:
                judge.InRange(handle);
                return NameOf((TypeReferenceHandle)handle);
            case HandleKind.TypeDefinition:
                judge.InRange(handle);
                return OwnType;
            default:
                throw new BadImageFormatException("A signature names something that is no type.");
        }
    }

    private string Array(ref BlobReader bytes, int depth)
    {
        string element = Type(ref bytes, depth + 1);
        int rank = bytes.ReadCompressedInteger();
        if (rank is < 2 or > DeepestType)
        {
            throw new BadImageFormatException("An array has too many dimensions.");
        }

        for (int sizes = bytes.ReadCompressedInteger(); sizes > 0; sizes--)
        {
            bytes.ReadCompressedInteger();
        }

        for (int bounds = bytes.ReadCompressedInteger(); bounds > 0; bounds--)
        {
            bytes.ReadCompressedSignedInteger();
        }

        return $"{element}[{string.Join(',', Enumerable.Repeat("0:", rank))}]";
    }

    // Type arguments stand behind the type that declares the parameters: Dictionary{K,V}.Enumerator.
    private string Constructed(ref BlobReader bytes, int depth)
    {
        bytes.ReadByte();
        string definition = Named(ref bytes);
        int count = bytes.ReadCompressedInteger();
        if (count > bytes.RemainingBytes)
        {
            throw new BadImageFormatException("A signature ends early.");
        }

        var arguments = new string[count];
        for (int i = 0; i < count; i++)
        {
            arguments[i] = Argument(ref bytes, depth + 1);
        }

        if (definition == OwnType)
        {
            return definition;
        }

        var text = new StringBuilder();
        int next = 0;
        foreach (string part in definition.Split('.'))
        {
            int tick = part.IndexOf('`', StringComparison.Ordinal);
            text.Append(text.Length == 0 ? "" : ".").Append(tick < 0 ? part : part[..tick]);
            if (tick >= 0 && int.TryParse(part.AsSpan(tick + 1), out int arity) && arity <= count - next)
            {
                text.Append('{').AppendJoin(',', arguments.AsSpan(next, arity)!).Append('}');
                next += arity;
            }
        }

        return next == count ? text.ToString() : throw new BadImageFormatException("A type has the wrong number of arguments.");
    }
}
