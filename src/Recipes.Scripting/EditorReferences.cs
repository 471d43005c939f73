using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;
using Basic.Reference.Assemblies;
using Recipes.Checking;

namespace Recipes.Scripting;

/// <summary>
/// Reference assemblies for editors, in which only what recipes may use can be seen: in copies of the compiler's own ones every
/// type and member that isn't on the allow-list is made internal. So an editor offers nothing else, and marks the rest as it is typed.
/// </summary>
public static class EditorReferences
{
    // What the compiler asks for though recipes don't hold it: hash codes that a record or a comparer defines and nobody calls,
    // what each assembly is marked with, and what the runtime can do.
    private const string RuntimeFeature = "System.Runtime.CompilerServices.RuntimeFeature";

    private static readonly string[] AskedFor =
    [
        "M:System.Object.GetHashCode", "M:System.Collections.Generic.IEqualityComparer`1.GetHashCode(`0)",
        "M:System.Runtime.CompilerServices.RuntimeCompatibilityAttribute.set_WrapNonExceptionThrows(System.Boolean)", "T:" + RuntimeFeature,
    ];

    private const int TypeVisibility = 0x7, MemberVisibility = 0x7, InternalMember = 0x3, NestedInternal = 0x5;

    private static readonly Lazy<ImmutableArray<(string Name, byte[] Image)>> Originals = new(() =>
    [
        .. Net100.ReferenceInfos.All.Where(info => AllowList.Current.Assemblies.Contains(Path.GetFileNameWithoutExtension(info.FileName)))
            .Select(info => (info.FileName, info.ImageBytes)),
        Own("Recipes.Api.dll"),
        Own("Recipes.Imaging.dll"),
    ]);

    /// <summary>Reads what is needed, where nothing can be opened later.</summary>
    public static void Prepare() => _ = Originals.Value;

    /// <summary>Makes them: file name and bytes, the same each time.</summary>
    public static IEnumerable<(string Name, byte[] Image)> Make() => Originals.Value.Select(original => (original.Name, Hide(original.Image)));

    private static byte[] Hide(byte[] image)
    {
        byte[] hidden = [.. image];
        using var file = new PEReader(new MemoryStream(image));
        var reader = file.GetMetadataReader();
        int start = file.PEHeaders.MetadataStartOffset;
        foreach (var handle in reader.TypeDefinitions)
        {
            var type = reader.GetTypeDefinition(handle);
            string name = Identifiers.NameOf(reader, handle);
            bool seen = IsSeen("T:" + name);
            var visibility = type.Attributes & TypeAttributes.VisibilityMask;
            if (!seen && visibility is TypeAttributes.Public or TypeAttributes.NestedPublic or TypeAttributes.NestedFamily or TypeAttributes.NestedFamORAssem)
            {
                Patch(hidden, Row(TableIndex.TypeDef, handle), TypeVisibility, visibility == TypeAttributes.Public ? 0 : NestedInternal);
            }

            foreach (var method in type.GetMethods())
            {
                var access = reader.GetMethodDefinition(method).Attributes & MethodAttributes.MemberAccessMask;
                if (access is MethodAttributes.Public or MethodAttributes.Family or MethodAttributes.FamORAssem
                    && !IsSeen(Identifiers.Of(reader, name, method)))
                {
                    // Behind the address and the implementation flags.
                    Patch(hidden, Row(TableIndex.MethodDef, method) + 6, MemberVisibility, InternalMember);
                }
            }

            foreach (var field in type.GetFields())
            {
                var definition = reader.GetFieldDefinition(field);
                var access = definition.Attributes & FieldAttributes.FieldAccessMask;
                if (access is FieldAttributes.Public or FieldAttributes.Family or FieldAttributes.FamORAssem
                    && (definition.Attributes & FieldAttributes.SpecialName) == 0
                    && !IsSeen($"F:{name}.{reader.GetString(definition.Name)}"))
                {
                    Patch(hidden, Row(TableIndex.Field, field), MemberVisibility, InternalMember);
                }
            }
        }

        return hidden;

        int Row(TableIndex table, EntityHandle handle) =>
            start + reader.GetTableMetadataOffset(table) + ((MetadataTokens.GetRowNumber(handle) - 1) * reader.GetTableRowSize(table));
    }

    private static bool IsSeen(string id) =>
        AllowList.Current.Of(id) != Use.Nobody || AskedFor.Contains(id) || id.StartsWith($"F:{RuntimeFeature}.", StringComparison.Ordinal);

    private static void Patch(byte[] image, int offset, int mask, int value)
    {
        var flags = image.AsSpan(offset, 2);
        BinaryPrimitives.WriteUInt16LittleEndian(flags, (ushort)((BinaryPrimitives.ReadUInt16LittleEndian(flags) & ~mask) | value));
    }

    private static (string, byte[]) Own(string file) => (file, File.ReadAllBytes(Path.Combine(AppContext.BaseDirectory, file)));

    /// <summary>Documentation comment identifiers (ECMA-334, annex D) of definitions in trusted metadata, as the allow-list writes them.</summary>
    private sealed class Identifiers : ISignatureTypeProvider<string, object?>
    {
        private static readonly Identifiers Provider = new();

        public static string NameOf(MetadataReader reader, TypeDefinitionHandle handle)
        {
            var type = reader.GetTypeDefinition(handle);
            string name = reader.GetString(type.Name), space = reader.GetString(type.Namespace);
            return !type.GetDeclaringType().IsNil ? $"{NameOf(reader, type.GetDeclaringType())}.{name}" : space.Length == 0 ? name : $"{space}.{name}";
        }

        public static string Of(MetadataReader reader, string type, MethodDefinitionHandle handle)
        {
            var method = reader.GetMethodDefinition(handle);
            var signature = method.DecodeSignature(Provider, null);
            string name = reader.GetString(method.Name).Replace('.', '#');
            string generic = signature.GenericParameterCount == 0 ? "" : $"``{signature.GenericParameterCount}";
            string parameters = signature.ParameterTypes.IsEmpty ? "" : $"({string.Join(',', signature.ParameterTypes)})";
            string result = name is "op_Implicit" or "op_Explicit" ? $"~{signature.ReturnType}" : "";
            return $"M:{type}.{name}{generic}{parameters}{result}";
        }

        public string GetPrimitiveType(PrimitiveTypeCode code) => $"System.{code}";

        public string GetTypeFromDefinition(MetadataReader reader, TypeDefinitionHandle handle, byte kind) => NameOf(reader, handle);

        public string GetTypeFromReference(MetadataReader reader, TypeReferenceHandle handle, byte kind)
        {
            var type = reader.GetTypeReference(handle);
            string name = reader.GetString(type.Name), space = reader.GetString(type.Namespace);
            return type.ResolutionScope.Kind == HandleKind.TypeReference
                ? $"{GetTypeFromReference(reader, (TypeReferenceHandle)type.ResolutionScope, kind)}.{name}"
                : space.Length == 0 ? name : $"{space}.{name}";
        }

        public string GetTypeFromSpecification(MetadataReader reader, object? context, TypeSpecificationHandle handle, byte kind) =>
            reader.GetTypeSpecification(handle).DecodeSignature(this, context);

        // Type arguments stand behind the type that declares the parameters: Dictionary{K,V}.Enumerator.
        public string GetGenericInstantiation(string type, ImmutableArray<string> arguments)
        {
            int next = 0;
            return string.Join('.', type.Split('.').Select(part =>
            {
                int tick = part.IndexOf('`', StringComparison.Ordinal);
                if (tick < 0)
                {
                    return part;
                }

                int arity = int.Parse(part.AsSpan(tick + 1), System.Globalization.CultureInfo.InvariantCulture);
                next += arity;
                return $"{part[..tick]}{{{string.Join(',', arguments.Skip(next - arity).Take(arity))}}}";
            }));
        }

        public string GetSZArrayType(string element) => element + "[]";

        public string GetArrayType(string element, ArrayShape shape) => $"{element}[{string.Join(',', Enumerable.Repeat("0:", shape.Rank))}]";

        public string GetByReferenceType(string element) => element + "@";

        public string GetPointerType(string element) => element + "*";

        public string GetPinnedType(string element) => element;

        public string GetModifiedType(string modifier, string unmodified, bool isRequired) => unmodified;

        public string GetGenericTypeParameter(object? context, int index) => $"`{index}";

        public string GetGenericMethodParameter(object? context, int index) => $"``{index}";

        public string GetFunctionPointerType(MethodSignature<string> signature) => "method";
    }
}
