using System.Buffers.Binary;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using Recipes.Problems;

namespace Recipes.Checking;

/// <summary>
/// Leads from instructions to a recipe's text, by the debug information that the compiler embeds (Portable PDB 1.0). Only
/// workers read it. What it says is a hint for people: where it is missing or malformed, there is no place.
/// </summary>
public static class RecipeLines
{
    // Portable PDB 1.0, embedded: the bytes MPDB, then the size of what was compressed.
    private const int SizeOffset = 4, HeaderSize = 8;

    /// <summary>File, line and column of an instruction: those of the last statement that starts at it or before.</summary>
    /// <param name="assembly">A compiled recipe.</param>
    /// <param name="method">The method that holds it.</param>
    /// <param name="offset">Its offset in bytes.</param>
    /// <returns>Null where the debug information doesn't tell.</returns>
    public static Place? PlaceOf(ReadOnlySpan<byte> assembly, MethodDefinitionHandle method, int offset)
    {
        try
        {
            using var image = new PEReader([.. assembly]);
            var entry = image.ReadDebugDirectory().FirstOrDefault(entry => entry.Type == DebugDirectoryEntryType.EmbeddedPortablePdb);
            if (entry.Type != DebugDirectoryEntryType.EmbeddedPortablePdb || entry.DataSize < HeaderSize
                || BinaryPrimitives.ReadUInt32LittleEndian(assembly[(entry.DataPointer + SizeOffset)..]) > MetadataCheck.LargestAssembly)
            {
                return null;
            }

            using var provider = image.ReadEmbeddedPortablePdbDebugDirectoryData(entry);
            var reader = provider.GetMetadataReader();
            SequencePoint? last = null;
            foreach (var point in reader.GetMethodDebugInformation(method).GetSequencePoints())
            {
                last = !point.IsHidden && point.Offset <= offset ? point : last;
            }

            return last is { } found ? new Place(reader.GetString(reader.GetDocument(found.Document).Name), found.StartLine, found.StartColumn) : null;
        }
        // Debug information that the compiler didn't write tells no place.
        catch (Exception e) when (e is BadImageFormatException or InvalidDataException or ArgumentException or OverflowException or IOException
            or InvalidOperationException)
        {
            return null;
        }
    }
}
