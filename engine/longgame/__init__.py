"""The long game: driver, fairway woods and hybrids."""
