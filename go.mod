module brinebell

go 1.26
